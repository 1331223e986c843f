import { describe, expect, it } from 'vitest';
import { splitFiring } from '../../app/record/firing-row.ts';
import { openEnvelope, sealEnvelope } from '../../app/record/schema.ts';
import { thrownRecordError } from './record-under-test.ts';
import { sampleFiring } from './sample-records.ts';

describe('a firing taken apart', () => {
  it('gives samples a buffer of their own, so that a stream buffer is not stored with them', () => {
    const stream = new Uint8Array(100_000).fill(9);
    const record = sampleFiring();
    const { row, samples } = splitFiring({
      ...record,
      firing: { ...record.firing, samples: stream.subarray(500, 600) },
    });
    expect(row.firing.sampleCount).toBe(100);
    expect('samples' in row.firing).toBe(false);
    expect(samples.buffer.byteLength).toBe(100);
  });
});

describe('a firing without samples', () => {
  const { row } = splitFiring(sampleFiring());
  const { timed: _, ...sampled } = row.firing;
  const without = { ...sampled, ticksPerSample: 0, fullScale: 0, sampleCount: 0 };

  it('is sound from a board that times edges', () => {
    const firing = { ...without, timed: { open: row.firing.firstTick, close: row.firing.firstTick } };
    expect(openEnvelope('firing', sealEnvelope('firing', { ...row, firing })).firing).toEqual(firing);
  });

  it('is refused where nothing timed it', () => {
    const error = thrownRecordError(() => sealEnvelope('firing', { ...row, firing: without }));
    expect(error.kind).toBe('refused');
    expect(error.message).toContain('full scale');
  });
});
