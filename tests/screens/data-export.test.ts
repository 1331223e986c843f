/** The date of the last back-up is that of a file which was handed out. */
import 'fake-indexeddb/auto';
import { expect, it, vi } from 'vitest';
import { exportJobs } from '../../app/screens/actions/data-export.ts';
import { readForImport } from '../../app/screens/actions/data-import.ts';
import { preferencesWritten } from '../../app/screens/actions/preferences.ts';
import { record } from '../../app/screens/actions/record.ts';
import { view } from '../../app/screens/view.ts';

const last = () => view.getState().preferences.backUp.last;
const atHandOut: (string | null)[] = [];
const files: Blob[] = [];
let refuses = false;
vi.mock('../../app/screens/actions/files.ts', () => ({
  saveFile: (_: string, file: Blob) => {
    files.push(file);
    atHandOut.push(last());
    if (refuses) throw new Error('The browser takes no file.');
  },
  plainName: (text: string) => text,
}));

it('is noted once the file is handed out, and not when it is not', async () => {
  const { signal } = new AbortController();
  refuses = true;
  await expect(exportJobs('everything', () => {}, signal)).rejects.toThrow('takes no file');
  await preferencesWritten();
  expect(last()).toBeNull();
  refuses = false;
  await exportJobs([], () => {}, signal);
  expect(last()).toBeNull();
  await exportJobs('everything', () => {}, signal);
  await preferencesWritten();
  // Read in here, the file changes nothing: it knows of its own date.
  const { preview } = await readForImport(files.at(-1)!, () => {}, signal);
  expect(preview.preferences).toBe('same');
  expect(atHandOut).toEqual([null, null, null]);
  expect(Date.parse(last()!)).toBeGreaterThan(0);
  expect((await (await record()).loadPreferences())!.backUp.last).toBe(last());
});
