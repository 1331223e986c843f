/** A paper that was handed out is noted in its own job, whichever one is open by then. */
import 'fake-indexeddb/auto';
import { afterEach, expect, it, vi } from 'vitest';
import type { PaperContent } from '../../app/certificate/paper-content.ts';
import { newJob } from '../../app/record/new-job.ts';
import { savePaper } from '../../app/screens/actions/papers.ts';
import { record } from '../../app/screens/actions/record.ts';
import type { PaperKind } from '../../app/screens/papers-kinds.ts';
import { view } from '../../app/screens/view.ts';

const jobOf = (id: string) => newJob({ id, number: id, received: '2031-04-02T09:00:00.000Z' });
const other = jobOf('B-2');
vi.mock('../../app/screens/actions/files.ts', () => ({
  saveFile: () => {},
  plainName: (text: string) => text,
}));
vi.mock('../../app/certificate/certificate-writer.ts', () => ({
  writePaper: async () => {
    view.setState({ job: other });
    return { pdf: new Blob(), leftOut: { unprintable: [], logo: false, pictures: 0 } };
  },
}));
vi.stubGlobal('navigator', {
  locks: { request: async (_: string, __: unknown, act: (lock: object) => unknown) => act({}) },
});

const kind = {
  kind: 'working speeds card',
  name: () => 'card',
  carriesData: false,
  content: () => ({ kind: 'working speeds card' }) as PaperContent,
} as unknown as PaperKind;
afterEach(() => {
  vi.useRealTimers();
});

it('also if another job was opened while it was written', async () => {
  const kept = await record();
  const job = jobOf('A-1');
  await kept.saveJob(job);
  view.setState({ job, readings: [], notices: [] });
  await savePaper(kind, 'A4', () => {});
  expect((await kept.loadJob('A-1')).issued).toMatchObject([{ kind: 'working speeds card' }]);
  expect(view.getState().job).toBe(other);
  expect(view.getState().notices).toEqual([]);
});

it('with a number that no other paper of the job has, also within one second', async () => {
  vi.useFakeTimers({ toFake: ['Date'], now: Date.parse('2031-04-02T09:00:00.000Z') });
  const kept = await record();
  const job = jobOf('C-3');
  await kept.saveJob(job);
  for (let count = 0; count < 2; count++) {
    // The second is begun from the job as it was: the first has not been noted yet.
    view.setState({ job, readings: [], notices: [] });
    await savePaper(kind, 'A4', () => {});
  }
  const [one] = (await kept.loadJob('C-3')).issued;
  // As after a reload, where the job alone tells which numbers are taken.
  const again = { ...jobOf('D-4'), issued: [{ ...one!, number: one!.number.replace('C-3', 'D-4') }] };
  await kept.saveJob(again);
  view.setState({ job: again });
  await savePaper(kind, 'A4', () => {});
  for (const id of ['C-3', 'D-4']) {
    const numbers = (await kept.loadJob(id)).issued.map(({ number }) => number);
    expect(numbers[0]).toMatch(new RegExp(`^${id}-20310402-\\d{6}$`));
    expect(numbers).toEqual([numbers[0], `${numbers[0]}-2`]);
  }
});
