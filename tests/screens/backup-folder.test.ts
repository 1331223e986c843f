import { beforeEach, expect, it, vi } from 'vitest';
import type { BackupFolder } from '../../app/record/backup-folder.ts';
import { summaryOf } from '../../app/record/job-summary.ts';
import { newJob } from '../../app/record/new-job.ts';
import { askForFolder } from '../../app/screens/actions/backup-folder.ts';
import { jobFile } from '../../app/screens/actions/data-export.ts';
import { view } from '../../app/screens/view.ts';

let folder: BackupFolder | null = null;
const files = new Map<string, unknown>();
vi.mock('../../app/record/backup-folder.ts', () => ({
  loadBackupFolder: async () => folder,
  saveBackupFolder: async (now: BackupFolder | null) => {
    folder = now;
  },
}));
vi.mock('../../app/screens/actions/data-export.ts', () => ({
  jobFile: vi.fn(),
  jobFileName: (id: string) => `job-${id}.leafclock`,
}));

const handle = {
  name: 'copies',
  requestPermission: async () => 'granted',
  getFileHandle: async (name: string) => ({
    createWritable: async () => ({
      write: async (file: unknown) => files.set(name, file),
      close: async () => {},
    }),
  }),
} as unknown as FileSystemDirectoryHandle;
const counts = { jobs: 1, firings: 0, samples: 0, pictures: 0, settings: 0 };
const said = () =>
  view
    .getState()
    .notices.map(({ text }) => text)
    .join(' ');

beforeEach(() => {
  const jobs = ['A', 'B', 'C'].map((id) =>
    summaryOf(newJob({ id, number: id, received: '2031-04-02T09:00:00Z' })),
  );
  view.setState({ jobs, notices: [] });
  folder = { handle, waiting: ['A', 'B', 'C'] };
  files.clear();
});

it('one job that can’t be copied keeps no other from it, and goes on waiting', async () => {
  vi.mocked(jobFile).mockImplementation(async ([id]) => {
    if (id === 'A') throw new Error('The record is closed.');
    return { file: new Blob([id!]), counts, leftOut: [] };
  });
  await askForFolder();
  expect([...files.keys()]).toEqual(['job-B.leafclock', 'job-C.leafclock']);
  expect(folder?.waiting).toEqual(['A']);
  expect(said()).toContain('The record is closed.');
});

it('what a copy lacks is said, and no copy without its job takes the place of an earlier one', async () => {
  vi.mocked(jobFile).mockImplementation(async ([id]) =>
    id === 'A'
      ? { file: new Blob(), counts: { ...counts, jobs: 0 }, leftOut: ['Job A is damaged.'] }
      : { file: new Blob([id!]), counts, leftOut: id === 'B' ? ['One firing of B is damaged.'] : [] },
  );
  await askForFolder();
  expect([...files.keys()]).toEqual(['job-B.leafclock', 'job-C.leafclock']);
  expect(said()).toContain('Job A is damaged.');
  expect(said()).toContain('One firing of B is damaged.');
  expect(folder?.waiting).toEqual([]);
});
