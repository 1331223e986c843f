import { JOB_STATES, type Job } from '../record/job.ts';
import { changeJob, setJobState } from './actions/jobs.ts';
import { dayText, momentText } from './day-text.ts';
import { useView } from './view.ts';

/** Where the job stands: one press moves it on, and every state it was in stays written with its time. */
export function StateLine({ job }: { job: Job }) {
  const style = useView((v) => v.preferences.papers.dates);
  const present = job.states.at(-1)!;
  return (
    <section class="state-line" aria-label="State of the job" data-state={present.state}>
      <fieldset class="stages" aria-label="State">
        {JOB_STATES.map((state) => (
          <button
            type="button"
            key={state}
            aria-pressed={state === present.state}
            onClick={() => {
              if (state !== present.state) setJobState(state);
            }}
            data-choice={state}
          >
            {state}
          </button>
        ))}
      </fieldset>
      <details>
        <summary>
          {present.state} since {dayText(present.at, style)}
          {job.states.length > 1 && `, ${job.states.length} states so far`}
        </summary>
        <ol class="history">
          {job.states.map(({ state, at }, index) => (
            <li key={at + state}>
              <span>
                {momentText(at, style)}: {state}
              </span>
              {job.states.length > 1 && (
                <button
                  type="button"
                  class="small"
                  aria-label={`Strike out “${state}” of ${momentText(at, style)}`}
                  onClick={() =>
                    changeJob(
                      (j) => ({ ...j, states: j.states.filter((_, other) => other !== index) }),
                      `state “${state}” struck out`,
                    )
                  }
                >
                  Strike out
                </button>
              )}
            </li>
          ))}
        </ol>
      </details>
    </section>
  );
}
