import { useEffect, useMemo, useState } from 'preact/hooks';
import type { CertifiedFiring } from '../certificate/certificate.ts';
import { type StageResult, stageResult } from '../certificate/stage-results.ts';
import type { Job, StageId } from '../record/job.ts';
import type { JobSummary } from '../record/job-summary.ts';
import { earlierJobs } from '../record/same-camera.ts';
import { openJob } from './actions/jobs.ts';
import { certifiedFirings } from './actions/readings.ts';
import { record } from './actions/record.ts';
import { dayText } from './day-text.ts';
import { speedsSince } from './job-returning-figures.ts';
import { unlikeStates } from './results-unlike-states.ts';
import { useView } from './view.ts';

/** Says that this camera was here before, by its serial numbers, and what its speeds have done since. */
export function ReturningCard({ job }: { job: Job }) {
  const jobs = useView((v) => v.jobs);
  const style = useView((v) => v.preferences.papers.dates);
  const { id, received, camera } = job;
  const earlier = useMemo(() => earlierJobs(jobs, { id, received, camera }), [jobs, id, received, camera]);
  const [wanted, setWanted] = useState<string | null>(null);
  const compared = earlier.find((one) => one.id === wanted) ?? earlier[0];
  if (!compared) return null;
  return (
    <section class="card" aria-label="Earlier jobs of this camera" data-card="returning">
      <h2>This camera was here before</h2>
      <ul class="plain earlier">
        {earlier.map((one) => (
          <li key={one.id} data-job={one.number}>
            <span>
              Job {one.number} of {dayText(one.received, style)}
              {one.state !== 'received' && `, ${one.state} since ${dayText(one.since, style)}`}
            </span>
            {earlier.length > 1 && (
              <button
                type="button"
                class="small"
                aria-pressed={one === compared}
                onClick={() => setWanted(one.id)}
              >
                Compare
              </button>
            )}
            <button
              type="button"
              class="small"
              aria-label={`Open job ${one.number}`}
              onClick={() => void openJob(one.id)}
            >
              Open
            </button>
          </li>
        ))}
      </ul>
      <SpeedsSince key={compared.id} job={job} earlier={compared} />
    </section>
  );
}

interface Earlier {
  readonly job: Job;
  readonly firings: readonly CertifiedFiring[];
}

/** Read once the card is on show; the present job's readings are at hand already. */
function SpeedsSince({ job, earlier }: { job: Job; earlier: JobSummary }) {
  const readings = useView((v) => v.readings);
  const [then, setThen] = useState<Earlier | null>(null);
  const [trouble, setTrouble] = useState('');
  useEffect(() => {
    let gone = false;
    void loadEarlier(earlier.id).then(
      (loaded) => gone || setThen(loaded),
      (error: Error) => gone || setTrouble(error.message),
    );
    return () => {
      gone = true;
    };
  }, [earlier.id]);
  if (trouble) return <p class="trouble">{trouble}</p>;
  if (!then) return <p class="quiet">Reading job {earlier.number} …</p>;
  const before = lastTaken(then);
  if (!before) return <p class="quiet">No speed was read in job {earlier.number}.</p>;
  const firings = certifiedFirings(readings, job);
  const now = (['as found', 'as left'] as const)
    .map((stage) => stageResult(job, firings, stage))
    .filter(({ taken }) => taken);
  if (now.length === 0)
    return (
      <p class="quiet">
        Its speeds {before.stage} in job {earlier.number} will stand beside the readings of this job.
      </p>
    );
  return now.map((result) => (
    <Changes key={result.stage} job={job} number={earlier.number} before={before} now={result} />
  ));
}

interface ChangesProps {
  readonly job: Job;
  readonly number: string;
  readonly before: StageResult;
  readonly now: StageResult;
}

function Changes({ job, number, before, now }: ChangesProps) {
  const unlike = unlikeStates(
    job,
    [before, now].filter(({ firings }) => firings.length > 0),
  );
  return (
    <>
      <div class="scrolls">
        <table data-table={`since-${now.stage}`}>
          <caption>
            Job {number} {before.stage}, and this job {now.stage}
          </caption>
          <thead>
            <tr>
              <th scope="col">mark</th>
              <th scope="col">then, EV</th>
              <th scope="col">now, EV</th>
              <th scope="col">change, EV</th>
              <th scope="col" class="left">
                now it is
              </th>
            </tr>
          </thead>
          <tbody>
            {speedsSince(before, now).map((row) => (
              <tr key={row.mark} data-mark={row.mark}>
                <th scope="row">{row.mark}</th>
                <td>{row.earlier}</td>
                <td>{row.now}</td>
                <td data-cell="change">{row.change}</td>
                <td class="left" data-cell="words">
                  {row.words}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {unlike.length > 0 && (
        <p class="caution" data-unlike>
          Then and now were not read alike ({unlike.join('; ')}): a change need not be the shutter’s own.
        </p>
      )}
    </>
  );
}

async function loadEarlier(id: string): Promise<Earlier> {
  const kept = await record();
  const [job, { firings }] = await Promise.all([kept.loadJob(id), kept.loadFirings(id)]);
  return { job, firings };
}

/** As it went home, if that was read; else the last that is known of it. */
function lastTaken({ job, firings }: Earlier): StageResult | undefined {
  const stages: readonly StageId[] = ['as left', 'after rest', 'trials', 'as found'];
  return stages
    .map((stage) => stageResult(job, firings, stage))
    .find((result) => result.marks.some(({ statistics }) => statistics.n > 0));
}
