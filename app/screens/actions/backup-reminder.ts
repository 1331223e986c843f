/** Whether it is time to save a file of everything. */
import type { JobSummary } from '../../record/job-summary.ts';
import type { Preferences } from '../../record/preferences.ts';

const DAY_MS = 86_400_000;

/** How the last file of everything stands to what the workshop wants. */
export interface Reminder {
  /** Whole days since the last file of everything; null when there never was one. */
  readonly days: number | null;
  readonly due: boolean;
}

/** Invented jobs are no reason to save anything. `now`: milliseconds since 1970. */
export function backUpReminder(
  { everyDays, last }: Preferences['backUp'],
  jobs: readonly JobSummary[],
  now: number,
): Reminder {
  const days = last === null ? null : Math.max(0, Math.floor((now - Date.parse(last)) / DAY_MS));
  const real = jobs.filter(({ invented }) => !invented);
  if (everyDays === null || real.length === 0) return { days, due: false };
  const oldest = Math.min(...real.map(({ received }) => Date.parse(received)));
  const since = last === null ? oldest : Date.parse(last);
  return { days, due: now - since >= everyDays * DAY_MS };
}
