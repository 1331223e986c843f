/** How the fast rate is chosen and given up: the rules alone. */
import { describe, expect, it } from 'vitest';
import { notFast } from '../../app/link/rate-trial.ts';
import { RATE_LOSSES, RATE_LOSSES_SECONDS, RateWatch } from '../../app/link/rate-watch.ts';
import type { GapCause, StreamEvent } from '../../app/link/stream.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { hello } from './fake-port.ts';

const run: StreamEvent = {
  kind: 'run',
  channel: 0,
  firstTick: ticks(0),
  ticksPerSample: 26,
  values: new Uint8Array(128),
};

/** Gaps at these seconds, each with the stream going on behind it. */
function watched(seconds: readonly number[], cause: GapCause = 'missing'): RateWatch {
  const watch = new RateWatch();
  for (const at of seconds) {
    watch.take({ kind: 'gap', cause }, at * 1000);
    watch.take(run, at * 1000 + 10);
  }
  return watch;
}

describe('the fast rate is given up', () => {
  it.each(['damaged', 'missing', 'overrun', 'read error'] as const)(
    'after three losses within a minute: %s',
    (cause) => {
      expect(RATE_LOSSES).toBe(3);
      expect(watched([5, 20], cause).tooMany).toBe(false);
      expect(watched([5, 20, 50], cause).tooMany).toBe(true);
    },
  );

  it('not for losses that are further apart', () => {
    expect(RATE_LOSSES_SECONDS).toBe(60);
    expect(watched([0, 30, 61, 95, 130]).tooMany).toBe(false);
  });

  it('not for one disturbance that costs many blocks within a second', () => {
    expect(watched([5, 5.1, 5.2, 5.5, 5.9]).tooMany).toBe(false);
    expect(watched([5, 5.1, 6.2, 6.3, 7.4]).tooMany).toBe(true);
  });

  it.each(['restarted', 'silence', 'disconnected'] as const)('not for what a %s board cost', (cause) => {
    expect(watched([1, 5, 9, 13, 17], cause).tooMany).toBe(false);
  });

  it('not for what could not be read before a reset showed', () => {
    const watch = new RateWatch();
    for (let at = 0; at < 50_000; at += 5000) {
      for (let k = 0; k < 5; k++) watch.take({ kind: 'gap', cause: 'damaged' }, at + 300 * k);
      watch.take({ kind: 'gap', cause: 'restarted' }, at + 1500);
      watch.take(run, at + 2000);
    }
    expect(watch.tooMany).toBe(false);
  });
});

describe('a board that introduced itself over a fast line', () => {
  it('is fast by the time that a conversion takes', () => {
    expect(notFast({ ...hello, ticksPerConversion: 26 })).toBeNull();
    expect(notFast(hello)?.sentence).toContain('no fast rate');
    expect(notFast({ ...hello, tickHz: 20_000_000, ticksPerConversion: 260 })).toBeNull();
  });

  it('is never one that times edges', () => {
    expect(notFast({ ...hello, kind: 'edges', ticksPerConversion: 0, bits: 0 })?.sentence).toContain('edges');
  });
});
