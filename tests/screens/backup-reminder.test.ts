import { describe, expect, it } from 'vitest';
import type { JobSummary } from '../../app/record/job-summary.ts';
import { summaryOf } from '../../app/record/job-summary.ts';
import { newJob } from '../../app/record/new-job.ts';
import { backUpReminder } from '../../app/screens/actions/backup-reminder.ts';

const NOW = Date.parse('2031-03-20T12:00:00Z');
const job = (received: string, changes: Partial<JobSummary> = {}): JobSummary => ({
  ...summaryOf(newJob({ id: received, number: '0001', received })),
  ...changes,
});
const old = job('2031-01-05T09:00:00Z');
const reminder = (everyDays: number | null, last: string | null, jobs: readonly JobSummary[] = [old]) =>
  backUpReminder({ everyDays, last }, jobs, NOW);

describe('the reminder to save everything', () => {
  it('is due from the day on that the workshop set', () => {
    expect(reminder(14, '2031-03-06T12:00:01Z')).toEqual({ days: 13, due: false });
    expect(reminder(14, '2031-03-06T12:00:00Z')).toEqual({ days: 14, due: true });
    expect(reminder(14, '2031-03-20T11:59:00Z')).toEqual({ days: 0, due: false });
  });

  it('counts from the first job where there never was a file', () => {
    expect(reminder(14, null)).toEqual({ days: null, due: true });
    expect(reminder(14, null, [job('2031-03-10T09:00:00Z')])).toEqual({ days: null, due: false });
    expect(reminder(14, null, [job('2031-03-10T09:00:00Z'), old]).due).toBe(true);
  });

  it('stays away where it is switched off, and where there is nothing of the user’s own', () => {
    expect(reminder(null, null).due).toBe(false);
    expect(reminder(14, null, []).due).toBe(false);
    expect(reminder(14, null, [{ ...old, invented: true }]).due).toBe(false);
  });

  it('says no negative days where the computer’s clock was put back', () => {
    expect(reminder(14, '2031-04-20T12:00:00Z')).toEqual({ days: 0, due: false });
  });
});
