import { describe, expect, it } from 'vitest';
import type { Job } from '../../app/record/job.ts';
import { summaryOf } from '../../app/record/job-summary.ts';
import { earlierJobs } from '../../app/record/same-camera.ts';
import { sampleJob } from './sample-records.ts';

const job = (
  id: string,
  received: string,
  bodySerial: string,
  shutterSerial: string,
  changes: Partial<Job> = {},
) => sampleJob(id, { received, camera: { ...sampleJob().camera, bodySerial, shutterSerial }, ...changes });

/** Ids of the earlier jobs among `others`. */
const earlier = (present: Job, ...others: readonly Job[]) =>
  earlierJobs([...others, present].map(summaryOf), present).map(({ id }) => id);

const present = job('present', '2025-03-01T08:00:00Z', 'KW-20417', 'BW 77312');

describe('a camera that was here before', () => {
  it('is known by the number of its body or of its shutter, the last visit first', () => {
    const body = job('body', '2023-01-05T08:00:00Z', 'KW-20417', '');
    const shutter = job('shutter', '2024-01-05T08:00:00Z', 'other', 'BW 77312');
    expect(earlier(present, body, shutter)).toEqual(['shutter', 'body']);
  });

  it.each(['kw 20417', 'KW20417', ' kw.204/17 ', 'ＫＷ２０４１７'])('is known by “%s”', (serial) => {
    expect(earlier(present, job('other', '2024-01-05T08:00:00Z', serial, ''))).toEqual(['other']);
  });

  it('is not known by a number that only looks alike, nor by one of another part', () => {
    const digit = job('digit', '2024-01-05T08:00:00Z', 'KW-20418', '77312');
    const crossed = job('crossed', '2024-01-05T08:00:00Z', 'BW 77312', 'KW-20417');
    expect(earlier(present, digit, crossed)).toEqual([]);
  });

  it.each(['', ' ', '–'])('is not known without a number (“%s”)', (none) => {
    const bare = job('bare', '2025-03-01T08:00:00Z', none, none);
    expect(earlier(bare, job('other', '2024-01-05T08:00:00Z', none, none))).toEqual([]);
  });

  it('shows neither itself, nor later jobs, nor jobs taken off the list', () => {
    const later = job('later', '2025-03-01T08:00:01Z', 'KW-20417', '');
    const removed = job('removed', '2024-01-05T08:00:00Z', 'KW-20417', '', {
      removed: '2024-02-01T08:00:00Z',
    });
    // 10:30 at +03:00 is half an hour before 08:00 UTC, though it reads later.
    const zoned = job('zoned', '2025-03-01T10:30:00+03:00', 'KW-20417', '');
    expect(earlier(present, later, removed, zoned)).toEqual(['zoned']);
  });
});
