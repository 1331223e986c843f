import { workStepWords } from '../judge/work-step-words.ts';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { momentText } from './day-text.ts';
import { JobArea } from './job-field.tsx';
import { useView } from './view.ts';

const WORK: readonly (readonly [keyof Job['work'], string, number])[] = [
  ['done', 'what was done', 4],
  ['parts', 'parts', 2],
  ['lubricants', 'lubricants, and where', 2],
  ['remarks', 'remarks for the customer', 2],
];

/** What the papers tell of the work, in the user's words. */
export function WorkFields({ job }: { job: Job }) {
  return (
    <section class="card fields" data-part="work" tabIndex={-1}>
      <h2 class="wide">Work, for the papers</h2>
      {WORK.map(([key, words, rows]) => (
        <JobArea
          key={key}
          label={words}
          name={`work-${key}`}
          rows={rows}
          value={job.work[key]}
          change={(text) => changeJob((j) => ({ ...j, work: { ...j.work, [key]: text } }), words)}
        />
      ))}
      <p class="wide caution">
        Solvents burn and harm: air, gloves, no flame, and what their makers and your local rules say. A flash
        capacitor stays charged long after its battery is out.
      </p>
      {job.steps.length > 0 && (
        <details class="wide">
          <summary>
            {job.steps.length === 1
              ? '1 note on the work from the bench'
              : `${job.steps.length} notes on the work from the bench`}
          </summary>
          <ol>
            {job.steps.map((step) => (
              <li key={step.id}>{workStepWords(step)}</li>
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}

/** Papers that were handed out: their numbers are used up. */
export function IssuedCard({ job }: { job: Job }) {
  const style = useView((v) => v.preferences.papers.dates);
  return (
    <section class="card" aria-label="Papers handed out">
      <h2>Papers handed out</h2>
      {job.issued.length === 0 ? (
        <p class="quiet">None yet.</p>
      ) : (
        <ul class="plain" data-list="issued">
          {job.issued.map(({ kind, number, at, dataSha256 }) => (
            <li key={`${kind} ${number}`}>
              {kind} {number}, {momentText(at, style)}
              {dataSha256 !== null && (
                <span class="quiet" title={`SHA-256 of its data file: ${dataSha256}`}>
                  {' '}
                  · data {dataSha256.slice(0, 8)}…
                </span>
              )}
            </li>
          ))}
        </ul>
      )}
      <p class="quiet">
        Certificate, working speeds card and job sheet: on <a href="#certificate">Papers</a>.
      </p>
    </section>
  );
}
