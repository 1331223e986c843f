import { useState } from 'preact/hooks';
import type { JobSummary } from '../record/job-summary.ts';
import type { DateStyle } from '../record/preferences.ts';
import { openJob } from './actions/jobs.ts';
import { bringBackJob, eraseJob } from './actions/jobs-list.ts';
import { dayText } from './day-text.ts';
import type { JobsWanted } from './jobs-search.ts';
import { useView, view } from './view.ts';

interface Props {
  readonly jobs: readonly JobSummary[];
  readonly wanted: JobsWanted;
  readonly ask: (part: Partial<JobsWanted>) => void;
}

/** A line for each job. It opens by a click anywhere on it, or by its number's button. */
export function JobsTable({ jobs, wanted, ask }: Props) {
  const style = useView((v) => v.preferences.papers.dates);
  const open = useView((v) => v.job?.id ?? null);
  const date = (by: JobsWanted['by'], words: string) => {
    const here = wanted.by === by;
    return (
      <th
        scope="col"
        class="left"
        aria-sort={here ? (wanted.newestFirst ? 'descending' : 'ascending') : undefined}
      >
        <button
          type="button"
          class="sorts"
          title={here ? 'Turns the order round' : `Sorts by the day in “${words}”`}
          onClick={() => ask({ by, newestFirst: here ? !wanted.newestFirst : true })}
          data-action={`sort-${by}`}
        >
          {words} <span aria-hidden="true">{here ? (wanted.newestFirst ? '↓' : '↑') : ''}</span>
        </button>
      </th>
    );
  };
  return (
    <table data-table="jobs" onKeyDown={moveAmongRows}>
      <thead>
        <tr>
          <th scope="col">job</th>
          <th scope="col" class="left">
            camera
          </th>
          <th scope="col" class="left">
            customer
          </th>
          {date('received', 'received')}
          <th scope="col" class="left">
            state
          </th>
          {date('since', 'since')}
        </tr>
      </thead>
      <tbody>
        {jobs.map((job) =>
          job.removed === null ? (
            <Row key={job.id} job={job} style={style} isOpen={job.id === open} />
          ) : (
            <RemovedRow key={job.id} job={job} style={style} removed={job.removed} />
          ),
        )}
      </tbody>
    </table>
  );
}

interface RowProps {
  readonly job: JobSummary;
  readonly style: DateStyle;
}

function Row({ job, style, isOpen }: RowProps & { readonly isOpen: boolean }) {
  return (
    // The number's button does the same for the keyboard.
    <tr class={isOpen ? 'here' : ''} onClick={() => void goToJob(job.id)} data-job={job.number}>
      <th scope="row">
        <button type="button" class="plain-link" aria-label={`Open job ${job.number}`}>
          {job.number}
        </button>
      </th>
      <CameraCell job={job} />
      <td class="left words">{job.invented ? <span class="invented">invented</span> : job.customer}</td>
      <td class="left">{dayText(job.received, style)}</td>
      <td class="left words">
        {job.state}
        {isOpen && <span class="quiet"> · open</span>}
      </td>
      <td class="left">{dayText(job.since, style)}</td>
    </tr>
  );
}

function RemovedRow({ job, style, removed }: RowProps & { readonly removed: string }) {
  const [asking, setAsking] = useState(false);
  return (
    <tr data-job={job.number} data-removed>
      <th scope="row">{job.number}</th>
      <CameraCell job={job} />
      <td class="left words">{job.invented ? <span class="invented">invented</span> : job.customer}</td>
      <td class="left">{dayText(job.received, style)}</td>
      <td class="left words" colSpan={2}>
        <p>taken off the list {dayText(removed, style)}</p>
        {asking ? (
          <div role="alertdialog" aria-label={`Erase job ${job.number}?`}>
            <p>
              Erase job {job.number} for good, with its firings, notes and pictures? It can’t be brought back
              then.
            </p>
            <div class="row">
              <button type="button" ref={(b) => b?.focus()} onClick={() => setAsking(false)}>
                Keep it
              </button>
              <button type="button" onClick={() => void eraseJob(job)} data-action="erase-for-good">
                Erase for good
              </button>
            </div>
          </div>
        ) : (
          <div class="row">
            <button
              type="button"
              class="small"
              aria-label={`Bring back job ${job.number}`}
              onClick={() => void bringBackJob(job)}
              data-action="bring-back"
            >
              Bring back
            </button>
            <button
              type="button"
              class="small"
              aria-label={`Erase job ${job.number} …`}
              onClick={() => setAsking(true)}
              data-action="erase"
            >
              Erase …
            </button>
          </div>
        )}
      </td>
    </tr>
  );
}

function CameraCell({ job: { camera, complaint } }: { job: JobSummary }) {
  const serials = [camera.bodySerial, camera.shutterSerial].filter(Boolean);
  return (
    <td class="left words camera">
      {camera.description || <span class="quiet">camera not yet named</span>}
      {serials.length > 0 && (
        <span class="quiet serials">
          {serials.map((serial, index) => (
            <>
              {index === 0 ? ' ' : ' · '}
              <span class="whole">{serial}</span>
            </>
          ))}
        </span>
      )}
      {complaint && <div class="quiet complaint">{complaint}</div>}
    </td>
  );
}

/** Opens a job and goes to it; of a job that can't be opened the user has been told, and the list stays. */
async function goToJob(id: string): Promise<void> {
  await openJob(id);
  if (view.getState().job?.id === id) location.hash = 'job';
}

/** Arrow keys go from line to line, and from the first one back to the search. */
function moveAmongRows(event: KeyboardEvent): void {
  if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
  const table = event.currentTarget as HTMLElement;
  const buttons = [
    ...table.querySelectorAll<HTMLElement>('tbody tr > th button, tbody [data-action=bring-back]'),
  ];
  const at = buttons.indexOf(document.activeElement as HTMLElement);
  if (at < 0) return;
  event.preventDefault();
  const to = buttons[at + (event.key === 'ArrowDown' ? 1 : -1)];
  if (to) to.focus();
  else if (event.key === 'ArrowUp') document.querySelector<HTMLElement>('[data-field=find-job]')?.focus();
}
