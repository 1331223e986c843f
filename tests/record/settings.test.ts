import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import type { Stores } from '../../app/record/layout.ts';
import { RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import { open, recordError } from './record-under-test.ts';
import { sampleBoard, samplePicture, samplePreferences, sampleWorkshop } from './sample-job-parts.ts';

describe('the record', () => {
  it('knows its workshop', async () => {
    const { record } = await open();
    expect(await record.loadWorkshop()).toBeNull();
    await record.saveWorkshop(sampleWorkshop);
    expect(await record.loadWorkshop()).toEqual(sampleWorkshop);
  });

  it('knows which job was open last', async () => {
    const { record } = await open();
    expect(await record.loadOpenJob()).toBeNull();
    await record.saveOpenJob('job-7');
    await record.saveOpenJob('job-8');
    expect(await record.loadOpenJob()).toBe('job-8');
  });

  it('knows how the workshop likes its jobs', async () => {
    const { record } = await open();
    expect(await record.loadPreferences()).toBeNull();
    await record.savePreferences(samplePreferences);
    expect(await record.loadPreferences()).toEqual(samplePreferences);
    const bad = { ...samplePreferences, tones: { on: true, volume: 2 } };
    expect(await recordError(record.savePreferences(bad))).toMatchObject({
      kind: 'refused',
      path: 'tones.volume',
    });
    expect(await record.loadPreferences()).toEqual(samplePreferences);
  });
});

describe('pictures', () => {
  it('come back byte for byte', async () => {
    const { record } = await open();
    expect(await record.loadPicture('picture-1')).toBeNull();
    await record.savePicture(samplePicture());
    expect(await record.loadPicture('picture-1')).toEqual(samplePicture());
  });

  it('never overwrite one another, and need a job', async () => {
    const { record, database } = await open();
    await record.savePicture(samplePicture());
    const other = samplePicture({ bytes: Uint8Array.of(1) });
    expect((await recordError(record.savePicture(other))).kind).toBe('exists');
    expect(await record.loadPicture('picture-1')).toEqual(samplePicture());
    const stray = samplePicture({ id: 'picture-2', jobId: 'gone' });
    expect((await recordError(record.savePicture(stray))).kind).toBe('missing');
    expect(await database.count('pictures')).toBe(1);
  });

  it('say what is wrong with them when they are damaged', async () => {
    const { record, database } = await open();
    await record.savePicture(samplePicture());
    const stored = (await database.get('pictures', 'picture-1'))!;
    await database.put('pictures', { ...stored, jobId: 'job-2' });
    expect(await recordError(record.loadPicture('picture-1'))).toMatchObject({
      kind: 'damaged',
      path: 'jobId',
    });
  });
});

describe('boards', () => {
  it('are known again, the one seen last first', async () => {
    const { record } = await open();
    const old = sampleBoard({ serial: '8', lastSeen: '2023-05-03T11:00:00+02:00' });
    await record.noteBoard(old);
    await record.noteBoard(sampleBoard());
    expect(await record.loadBoards()).toEqual({ boards: [sampleBoard(), old], unreadable: [] });
  });

  it('keep their last checks when they are only seen', async () => {
    const { record } = await open();
    await record.noteBoard(sampleBoard());
    const lastSeen = '2024-06-01T08:00:00Z';
    const seen = sampleBoard({
      lastSeen,
      firmware: '1.1',
      clock: null,
      lightCheck: null,
      referenceLight: null,
    });
    const known = sampleBoard({ lastSeen, firmware: '1.1' });
    expect(await record.noteBoard(seen)).toEqual(known);
    const check = { at: lastSeen, passed: false };
    expect(await record.noteBoard({ ...seen, referenceLight: check })).toEqual({
      ...known,
      referenceLight: check,
    });
    expect((await record.loadBoards()).boards).toEqual([{ ...known, referenceLight: check }]);
  });

  it('without a number share an entry by model and firmware image', async () => {
    const { record } = await open();
    const nameless = sampleBoard({ serial: '' });
    await record.noteBoard(nameless);
    await record.noteBoard({ ...nameless, lastSeen: '2024-06-01T08:00:00Z' });
    await record.noteBoard({ ...nameless, image: '00000000' });
    await record.noteBoard({ ...nameless, board: 'another board' });
    expect((await record.loadBoards()).boards).toHaveLength(3);
  });

  it('whose entry can’t be read hide no other, and are not written over', async () => {
    const { record, database } = await open();
    await record.noteBoard(sampleBoard());
    const newer = {
      ...sealEnvelope('known board', sampleBoard({ serial: '9' })),
      version: RECORD_VERSION + 1,
    } as Stores['boards']['value'];
    await database.put('boards', newer, 'serial 9');
    const { boards, unreadable } = await record.loadBoards();
    expect(boards).toEqual([sampleBoard()]);
    expect(unreadable).toMatchObject([{ id: 'serial 9', kind: 'newer record' }]);
    expect((await recordError(record.noteBoard(sampleBoard({ serial: '9' })))).kind).toBe('newer record');
    expect(await database.get('boards', 'serial 9')).toEqual(newer);
  });
});
