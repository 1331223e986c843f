import 'fake-indexeddb/auto';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { openRecord } from '../../app/record/database.ts';
import { joinFiring, splitFiring } from '../../app/record/firing-row.ts';
import { withSeries } from '../../app/record/with-series.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { open, recordError } from './record-under-test.ts';
import { bareFiring, sampleChecks, sampleFiring, sampleJob } from './sample-records.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

describe('firings', () => {
  it('come back with every figure and byte, in the order of firing, from a new connection', async () => {
    const { name, record } = await open();
    const second = bareFiring({ id: 'b', ordinal: 2 });
    const first = sampleFiring({ id: 'c', ordinal: 1 });
    await record.addFiring(second);
    await record.addFiring(first);
    record.close();

    const again = await openRecord({ name });
    const { firings, unreadable } = await again.loadFirings('job-1');
    expect(unreadable).toEqual([]);
    expect(firings).toEqual([splitFiring(first).row, splitFiring(second).row]);
    const samples = await again.loadSamples('c');
    expect(samples).toBeInstanceOf(Uint8Array);
    expect(joinFiring(firings[0]!, samples)).toEqual(first);
    expect(await again.loadSamples('b')).toEqual(new Uint8Array());
    expect((await again.loadFirings('another job')).firings).toEqual([]);
  });

  it('are on disk, strictly, before addFiring resolves', async () => {
    const { record } = await open();
    const events: string[] = [];
    const original = IDBDatabase.prototype.transaction;
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...args) {
      const transaction = original.apply(this, args);
      events.push(`${transaction.mode} ${transaction.durability}`);
      transaction.addEventListener('complete', () => events.push('complete'));
      return transaction;
    });
    await record.addFiring(sampleFiring()).then(() => events.push('resolved'));
    expect(events).toEqual(['readwrite strict', 'complete', 'resolved']);
  });

  it('never overwrite one another', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    const error = await recordError(record.addFiring(sampleFiring({ mark: '1/30', ordinal: 2 })));
    expect(error.kind).toBe('exists');
    expect((await record.loadFirings('job-1')).firings.map(({ mark }) => mark)).toEqual(['1/60']);
  });

  it('are refused without their job, under an unknown mark or with figures that are no numbers', async () => {
    const { record, database } = await open();
    const sound = sampleFiring();
    const broken = { ...sound, figures: { ...sound.figures, total: seconds(Infinity) } };
    expect((await recordError(record.addFiring({ ...sound, jobId: 'gone' }))).kind).toBe('missing');
    expect((await recordError(record.addFiring({ ...sound, mark: '1/75' }))).kind).toBe('refused');
    expect(await recordError(record.addFiring(broken))).toMatchObject({
      kind: 'refused',
      path: 'figures.total',
    });
    expect(await database.count('firings')).toBe(0);
    expect(await database.count('samples')).toBe(0);
    await record.addFiring(sound);
  });

  it('are moved, set aside and brought back, with nothing else changed', async () => {
    const { record } = await open();
    const original = await record.addFiring(sampleFiring());

    const moved = await record.moveFiring('firing-1', '1/30');
    expect(moved.previous).toEqual(original);
    expect(moved.current).toEqual({ ...original, mark: '1/30', movedFrom: ['1/60'] });
    const again = await record.moveFiring('firing-1', '1/15');
    expect(again.current.movedFrom).toEqual(['1/60', '1/30']);
    const aside = await record.setAside('firing-1', 'bumped');
    expect(aside.current).toEqual({ ...again.current, setAside: 'bumped' });

    await record.restoreFiring(aside.previous);
    await record.restoreFiring(again.previous);
    const { current } = await record.restoreFiring(moved.previous);
    expect(current).toEqual(original);
    expect((await record.loadFirings('job-1')).firings).toEqual([original]);
    expect(await record.loadSamples('firing-1')).toEqual(sampleFiring().firing.samples);
  });

  it('are said to have been exercised before, and that is undone', async () => {
    const { record } = await open();
    const original = await record.addFiring(sampleFiring());
    const { previous, current } = await record.setExercised('firing-1', true);
    expect(previous).toEqual(original);
    expect(current).toEqual({ ...original, exercised: true });
    expect((await record.loadFirings('job-1')).firings).toEqual([current]);
    await record.restoreFiring(previous);
    expect((await record.loadFirings('job-1')).firings).toEqual([original]);
  });

  it('keep their figures in an undo, whatever the row handed in says', async () => {
    const { record } = await open();
    const row = await record.addFiring(sampleFiring());
    const { current } = await record.restoreFiring({
      ...row,
      figures: { ...row.figures, effective: seconds(1) },
    });
    expect(current).toEqual(row);
  });

  it('stay under their mark when the move is impossible', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    expect((await recordError(record.moveFiring('firing-1', '1/75'))).message).toContain('1/75');
    expect((await recordError(record.moveFiring('firing-9', '1/30'))).kind).toBe('missing');
    expect((await record.loadFirings('job-1')).firings[0]!.mark).toBe('1/60');
    const same = await record.moveFiring('firing-1', '1/60');
    expect(same.current.movedFrom).toEqual([]);
  });
});

describe('jobs', () => {
  it('give back what they replaced', async () => {
    const { record } = await open();
    const changed = sampleJob('job-1', { complaint: 'sticks' });
    expect(await record.saveJob(changed)).toEqual(sampleJob());
    expect(await record.loadJob('job-1')).toEqual(changed);
    expect(await record.saveJob(sampleJob('job-3'))).toBeNull();
    expect((await recordError(record.loadJob('job-9'))).kind).toBe('missing');
  });

  it('keep marks that have firings', async () => {
    const { record } = await open();
    await record.addFiring(sampleFiring());
    const job = sampleJob();
    const without = (label: string) => {
      const speeds = job.series.speeds.filter((speed) => speed.label !== label);
      return withSeries(job, { ...job.series, speeds });
    };
    const error = await recordError(record.saveJob(without('1/60')));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('1/60');
    await record.saveJob(without('1/500'));
    expect((await record.loadJob('job-1')).series.speeds).toHaveLength(job.series.speeds.length - 1);
  });

  it('keep the checks made of the instrument, and refuse one that is none', async () => {
    const { record } = await open();
    await record.saveJob(sampleJob('job-1', { checks: sampleChecks }));
    expect((await record.loadJob('job-1')).checks).toEqual(sampleChecks);
    const broken = { ...sampleChecks[0]!, at: 'just now' };
    expect(
      await recordError(record.saveJob(sampleJob('job-1', { checks: [...sampleChecks, broken] }))),
    ).toMatchObject({ kind: 'refused', path: 'checks.4.at' });
    expect((await record.loadJob('job-1')).checks).toEqual(sampleChecks);
  });
});
