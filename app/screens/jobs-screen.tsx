import { useEffect, useMemo, useState } from 'preact/hooks';
import './jobs.css';
import { JOB_STATES } from '../record/job.ts';
import type { JobSummary } from '../record/job-summary.ts';
import { createJob, lookAtJobs } from './actions/jobs-list.ts';
import { type JobsWanted, onShelf, prepareSearch, type Shelf, wantedJobs } from './jobs-search.ts';
import { JobsTable } from './jobs-table.tsx';
import { UndoButton } from './undo-button.tsx';
import { useView, view } from './view.ts';

/** As many as fill a tall screen; the rest is a button away. */
const AT_ONCE = 40;

const SHELVES: readonly Shelf[] = ['all', 'removed', ...JOB_STATES];
const countOn = (jobs: readonly JobSummary[], shelf: Shelf) =>
  jobs.filter((job) => onShelf(job, shelf)).length;

/** What was looked for last: whoever comes back from a job finds the list as it was left. */
let lastWanted: JobsWanted = { words: '', shelf: 'all', by: 'received', newestFirst: true };

/** Every camera that came in: where it stands now, and when that was. */
export function JobsScreen() {
  const jobs = useView((v) => v.jobs);
  const [wanted, setWanted] = useState(lastWanted);
  const [most, setMost] = useState(AT_ONCE);
  useEffect(() => void lookAtJobs(), []);
  useEffect(() => {
    const soon = setTimeout(() => prepareSearch(jobs));
    return () => clearTimeout(soon);
  }, [jobs]);
  const found = useMemo(() => wantedJobs(jobs, wanted), [jobs, wanted]);
  const ask = (part: Partial<JobsWanted>) => {
    lastWanted = { ...wanted, ...part };
    setWanted(lastWanted);
    setMost(AT_ONCE);
  };
  const counts = useMemo(() => new Map(SHELVES.map((shelf) => [shelf, countOn(jobs, shelf)])), [jobs]);
  const shown = found.slice(0, most);
  return (
    <main class="sheet jobs">
      <div class="row heading">
        <h1>Jobs</h1>
        <div class="row">
          <UndoButton />
          <button type="button" class="main" onClick={() => void newJob()} data-action="new-job">
            New job
          </button>
        </div>
      </div>
      {jobs.length === 0 ? (
        <p data-empty>
          No camera has come in yet. Make a job for the first one: every reading, note and paper belongs to a
          job.
        </p>
      ) : (
        <>
          <div class="row seek">
            <input
              type="search"
              value={wanted.words}
              placeholder="number, customer, camera, serial number, complaint"
              aria-label="Find jobs by number, customer, camera, serial number, complaint or state"
              onInput={(e) => ask({ words: e.currentTarget.value })}
              onKeyDown={(e) => {
                if (e.key === 'ArrowDown') focusFirst(e);
              }}
              data-field="find-job"
            />
            <label class="row">
              show
              <select
                value={wanted.shelf}
                onChange={(e) => ask({ shelf: e.currentTarget.value as Shelf })}
                data-field="shelf"
              >
                <option value="all">all jobs</option>
                {JOB_STATES.map((state) => (
                  <option key={state} value={state}>
                    {state} ({counts.get(state)})
                  </option>
                ))}
                <option value="removed">taken off the list ({counts.get('removed')})</option>
              </select>
            </label>
            <p class="quiet" role="status" data-figure="found">
              {countWords(found.length, counts.get(wanted.shelf === 'removed' ? 'removed' : 'all')!)}
            </p>
          </div>
          {found.length > 0 ? (
            <JobsTable jobs={shown} wanted={wanted} ask={ask} />
          ) : (
            <p data-empty>{nothingWords(wanted)}</p>
          )}
          {found.length > shown.length && (
            <button type="button" onClick={() => setMost(most + 4 * AT_ONCE)} data-action="more-jobs">
              Show more ({found.length - shown.length} left)
            </button>
          )}
        </>
      )}
      <p class="quiet foot">
        Copies of one job or of everything, and jobs from a file: on <a href="#settings">Settings</a>.
      </p>
    </main>
  );
}

async function newJob(): Promise<void> {
  const before = view.getState().job?.id;
  await createJob(false);
  if (view.getState().job?.id !== before) location.hash = 'job';
}

function focusFirst(event: KeyboardEvent): void {
  event.preventDefault();
  document.querySelector<HTMLElement>('[data-table=jobs] tbody button')?.focus();
}

const countWords = (found: number, all: number) =>
  found === all
    ? all === 1
      ? '1 job'
      : `${all} jobs`
    : `${found} of ${all === 1 ? '1 job' : `${all} jobs`}`;

function nothingWords({ words, shelf }: JobsWanted): string {
  const where = shelf === 'all' ? '' : shelf === 'removed' ? ' that was taken off the list' : ` ${shelf}`;
  return words.trim() === '' ? `There is no job${where}.` : `No job${where} has “${words.trim()}” in it.`;
}
