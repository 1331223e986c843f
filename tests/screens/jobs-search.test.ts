import { describe, expect, it } from 'vitest';
import type { JobState } from '../../app/record/job.ts';
import type { JobSummary } from '../../app/record/job-summary.ts';
import { type JobsWanted, wantedJobs } from '../../app/screens/jobs-search.ts';
import { seededRandom } from '../seeded-random.ts';

const ANY: JobsWanted = { words: '', shelf: 'all', by: 'received', newestFirst: true };

function summary(
  number: string,
  part: Partial<Omit<JobSummary, 'camera'>> & { camera?: Partial<JobSummary['camera']> } = {},
): JobSummary {
  const camera = {
    description: '',
    bodySerial: '',
    shutter: '',
    shutterSerial: '',
    lens: '',
    lensSerial: '',
    ...part.camera,
  };
  return {
    id: `id-${number}`,
    number,
    received: `2031-04-${number.slice(-2)}T09:00:00.000Z`,
    state: 'received',
    since: `2031-04-${number.slice(-2)}T09:00:00.000Z`,
    customer: '',
    complaint: '',
    invented: false,
    removed: null,
    ...part,
    camera,
  };
}

const jobs: readonly JobSummary[] = [
  summary('0003', { customer: 'Zoë Quill', camera: { bodySerial: 'KW-204 17' } }),
  summary('0001', { camera: { description: 'Marten folder', lensSerial: '№ 5190' }, complaint: 'Drags' }),
  summary('0002', { state: 'sent', since: '2031-06-01T09:00:00.000Z', removed: '2031-06-02T09:00:00.000Z' }),
  summary('0004', { state: 'sent', since: '2031-04-09T09:00:00.000Z' }),
];
const numbers = (wanted: Partial<JobsWanted>) =>
  wantedJobs(jobs, { ...ANY, ...wanted }).map(({ number }) => number);

describe('the list of jobs', () => {
  it('shows what is not taken off it, the one received last first, or the other way round', () => {
    expect(numbers({})).toEqual(['0004', '0003', '0001']);
    expect(numbers({ newestFirst: false })).toEqual(['0001', '0003', '0004']);
    expect(numbers({ by: 'since' })).toEqual(['0004', '0003', '0001']);
    expect(numbers({ shelf: 'removed' })).toEqual(['0002']);
    expect(numbers({ shelf: 'sent' })).toEqual(['0004']);
  });

  it.each([
    ['zoe', ['0003']],
    ['  QUILL ', ['0003']],
    ['kw20417', ['0003']],
    ['kw-204 17', ['0003']],
    ['5190', ['0001']],
    ['drags marten', ['0001']],
    ['drags quill', []],
    ['sent', ['0004']],
    ['000', ['0004', '0003', '0001']],
    ['', ['0004', '0003', '0001']],
  ])('finds “%s”', (words, found) => {
    expect(numbers({ words })).toEqual(found);
  });

  it('takes over a job that was changed: its text is that of the new summary', () => {
    expect(numbers({ words: 'kestrel' })).toEqual([]);
    const changed = jobs.map((job) =>
      job.number === '0004' ? { ...job, camera: { ...job.camera, description: 'Kestrel' } } : job,
    );
    expect(wantedJobs(changed, { ...ANY, words: 'kestrel' }).map(({ number }) => number)).toEqual(['0004']);
  });

  it('never leaves out or invents a job, whatever the order it comes in', () => {
    const random = seededRandom(4);
    const states: readonly JobState[] = ['received', 'on the bench', 'sent'];
    const many = Array.from({ length: 200 }, (_, i) =>
      summary(String(i).padStart(4, '0'), {
        received: new Date(1.9e12 + Math.floor(1e9 * random())).toISOString(),
        state: states[Math.floor(3 * random())]!,
      }),
    );
    const all = wantedJobs(many, ANY);
    const dates = all.map(({ received }) => Date.parse(received));
    expect(dates).toEqual(dates.toSorted((a, b) => b - a));
    expect(new Set(all)).toEqual(new Set(many));
    const shelves = states.map((shelf) => wantedJobs(many, { ...ANY, shelf }).length);
    expect(shelves.reduce((sum, n) => sum + n, 0)).toBe(many.length);
  });
});
