import type { Job } from './job.ts';
import type { JobSummary } from './job-summary.ts';

/**
 * The jobs of the same camera that were received before this one, the last of them first: the same number on
 * the body or on the shutter, whatever its spaces, case and punctuation. No number at all is no match. Jobs
 * taken off the list are left out.
 */
export function earlierJobs(
  summaries: readonly JobSummary[],
  job: Pick<Job, 'id' | 'received' | 'camera'>,
): JobSummary[] {
  const body = bareSerial(job.camera.bodySerial);
  const shutter = bareSerial(job.camera.shutterSerial);
  const received = Date.parse(job.received);
  return summaries
    .filter(({ id, removed }) => id !== job.id && removed === null)
    .filter((other) => Date.parse(other.received) <= received)
    .filter(({ camera }) => matches(body, camera.bodySerial) || matches(shutter, camera.shutterSerial))
    .sort((a, b) => Date.parse(b.received) - Date.parse(a.received));
}

const matches = (bare: string, serial: string) => bare !== '' && bare === bareSerial(serial);

/** Letters and digits alone, in one case and one form of writing. */
const bareSerial = (serial: string) =>
  serial
    .normalize('NFKC')
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N}]/gu, '');
