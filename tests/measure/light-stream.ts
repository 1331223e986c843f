/** A made-up stream: light as a function of time, sampled like the board does, cut into runs. */

import type { StreamEvent } from '../../app/link/stream.ts';
import type { Firing } from '../../app/measure/figures.ts';
import type { FinderEvent, FinderOptions } from '../../app/measure/finder-events.ts';
import { FiringFinder } from '../../app/measure/firing-finder.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import {
  type Converter,
  convert,
  type KnownOpening,
  openFraction,
  SECONDS_PER_SAMPLE,
  TICK_HZ,
  TICKS_PER_SAMPLE,
  USUAL,
} from './known-light.ts';

/** Openings by the time at which each begins, and their share of full light (1 when left out). */
export interface Scene {
  readonly seconds: number;
  readonly openings: readonly {
    readonly at: number;
    readonly opening: KnownOpening;
    readonly share?: number;
  }[];
  readonly seed?: number;
  readonly converter?: Converter;
}

export const plainOpening = (open: number): KnownOpening => ({
  shape: 'straight',
  rise: 0.001,
  open,
  fall: 0.001,
});

export function codesOf({ seconds, openings, seed = 1, converter = USUAL }: Scene): Uint8Array {
  const light = (time: number) =>
    openings.reduce((sum, { at, opening, share = 1 }) => sum + share * openFraction(opening, time - at), 0);
  return convert(light, Math.round(seconds / SECONDS_PER_SAMPLE), converter, seededRandom(seed));
}

export const FIRST_TICK = 5_000_000;
export const tickAt = (time: number) => ticks(FIRST_TICK + Math.round(time * TICK_HZ));

/** Runs of up to `size` samples; where `gaps` (seconds) fall, a gap of 128 lost samples. */
export function eventsOf(codes: Uint8Array, size = 128, gaps: readonly number[] = []): StreamEvent[] {
  const events: StreamEvent[] = [];
  const stops = gaps.map((time) => Math.round(time / SECONDS_PER_SAMPLE)).sort((a, b) => a - b);
  let at = 0;
  for (const stop of [...stops, codes.length]) {
    while (at < stop) {
      const to = Math.min(at + size, stop);
      events.push({
        kind: 'run',
        channel: 0,
        firstTick: ticks(FIRST_TICK + at * TICKS_PER_SAMPLE),
        ticksPerSample: TICKS_PER_SAMPLE,
        values: codes.slice(at, to),
      });
      at = to;
    }
    if (stop < codes.length) {
      events.push({ kind: 'gap', cause: 'damaged' });
      at += 128;
    }
  }
  return events;
}

export function newFinder(options: Partial<FinderOptions> = {}): FiringFinder {
  return new FiringFinder({ tickHz: TICK_HZ, fullScale: 255, ...options });
}

export function pushAll(events: readonly StreamEvent[], finder = newFinder()): FinderEvent[] {
  return events.flatMap((event) => [...finder.push(event)]);
}

export function firingsOf(
  events: readonly FinderEvent[],
  kind: 'firing' | 'provisional' | 'spoilt' | 'never closed',
): Firing[] {
  return events.flatMap((event) => (event.kind === kind ? [event.firing] : []));
}

export const statesOf = (events: readonly FinderEvent[]) =>
  events.flatMap((event) => (event.kind === 'state' ? [event.state] : []));
