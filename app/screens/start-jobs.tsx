import type { JobSummary } from '../record/job-summary.ts';
import { openJob } from './actions/jobs.ts';
import { createJob } from './actions/jobs-list.ts';
import { dayText } from './day-text.ts';
import { useView, view } from './view.ts';

const LATEST = 4;

/** The job that is open, a new one, and those that something happened to last. */
export function StartJobs() {
  const job = useView((v) => v.job);
  const jobs = useView((v) => v.jobs);
  const style = useView((v) => v.preferences.papers.dates);
  const latest = latestJobs(jobs, job?.id ?? null);
  return (
    <section class="card" aria-label="Jobs">
      <h2>Jobs</h2>
      {job ? (
        <p>
          Open: <strong>{job.number}</strong> {job.camera.description || 'camera not yet named'}{' '}
          {job.invented && <span class="invented">invented</span>}
        </p>
      ) : (
        <p>No job is open. Every reading belongs to a camera.</p>
      )}
      <div class="row">
        <button type="button" class={job ? '' : 'main'} onClick={() => void newJob()} data-action="new-job">
          New job
        </button>
        {job && (
          <a class="button" href="#bench">
            To the bench
          </a>
        )}
        {jobs.length > 0 && (
          <a class="button" href="#jobs">
            All jobs
          </a>
        )}
      </div>
      {latest.length > 0 && (
        <table data-table="latest-jobs">
          <tbody>
            {latest.map((one) => (
              <tr key={one.id}>
                <td class="left words">
                  <strong>{one.number}</strong> {one.camera.description || 'camera not yet named'}
                  <div class="quiet">
                    {one.state} since {dayText(one.since, style)}
                  </div>
                </td>
                <td>
                  <button
                    type="button"
                    aria-label={`Open job ${one.number}`}
                    onClick={() => void openJob(one.id)}
                  >
                    Open
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

/** Besides the one that is open. */
const latestJobs = (jobs: readonly JobSummary[], open: string | null): readonly JobSummary[] =>
  jobs
    .filter(({ id, removed }) => removed === null && id !== open)
    .toSorted((a, b) => Date.parse(b.since) - Date.parse(a.since))
    .slice(0, LATEST);

async function newJob(): Promise<void> {
  const before = view.getState().job?.id;
  await createJob(false);
  if (view.getState().job?.id !== before) location.hash = 'job';
}
