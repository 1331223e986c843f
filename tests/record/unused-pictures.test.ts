import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { openRecord } from '../../app/record/database.ts';
import type { JobNote, Picture } from '../../app/record/job.ts';
import { newJob } from '../../app/record/new-job.ts';

const picture = (id: string, jobId: string): Picture => ({
  id,
  jobId,
  type: 'image/jpeg',
  width: 4,
  height: 3,
  bytes: new Uint8Array([1, 2, 3]),
});
const note = (id: string, shown: string | null): JobNote => ({
  id,
  at: '2031-04-02T09:00:00.000Z',
  text: '',
  picture: shown,
  onJobSheet: false,
});

it('destroys the pictures of one job that no note shows, and none besides', async () => {
  const kept = await openRecord({ name: 'unused pictures' });
  const start = { received: '2031-04-02T09:00:00.000Z' };
  await kept.saveJob(
    newJob({ ...start, id: 'A', number: '1', notes: [note('n1', 'shown'), note('n2', null)] }),
  );
  await kept.saveJob(newJob({ ...start, id: 'B', number: '2' }));
  for (const [id, jobId] of [
    ['shown', 'A'],
    ['deleted', 'A'],
    ['of another job', 'B'],
  ] as const)
    await kept.savePicture(picture(id, jobId));
  await kept.dropUnusedPictures('A');
  expect(await kept.loadPicture('shown')).toEqual(picture('shown', 'A'));
  expect(await kept.loadPicture('deleted')).toBeNull();
  expect(await kept.loadPicture('of another job')).not.toBeNull();
  await expect(kept.dropUnusedPictures('C')).rejects.toMatchObject({ kind: 'missing' });
  kept.close();
});
