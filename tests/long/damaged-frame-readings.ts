/** A series with one damage in it, and what it does to the readings. */
import { exactEffective } from '../measure/known-light.ts';
import type { SoundSeries } from '../whole/damaged-line.ts';
import { joined } from '../whole/emulated-bench.ts';
import { type ChainReading, ReadingChain } from '../whole/reading-chain.ts';
import type { Damaged } from './frame-damages.ts';

export type Effect = 'samples of a good reading' | 'its contact edges' | 'a firing spoilt' | 'nothing';

export interface ReadingEffect {
  readonly effect: Effect;
  /** How far the time of a changed reading lies from what it was on the sound line, in tolerances of a reading. */
  readonly tolerances: number;
}

/** What the readings of known light keep to (tests/whole/truth.test.ts), in seconds. */
const tolerance = (exact: number) => 5e-6 + 2e-4 * exact;

export function effectOnReadings(
  series: SoundSeries,
  frames: readonly Uint8Array[],
  at: number,
  damaged: Damaged,
): ReadingEffect {
  const chain = new ReadingChain(series.hello);
  chain.push(joined([...frames.slice(0, at), damaged.bytes, ...frames.slice(at + damaged.frames)]));
  const good = chain.readings.filter(({ kind }) => kind === 'firing');
  const { firstTick, ticksPerSample, values } = series.stream;
  let effect: Effect = good.length === series.readings.length ? 'nothing' : 'a firing spoilt';
  let tolerances = 0;
  for (const { firing, figures } of good) {
    const from = (firing.firstTick - firstTick) / ticksPerSample;
    const sent = values.subarray(from, from + firing.samples.length);
    const sound = nearest(series, firing.firstTick);
    if (Buffer.compare(firing.samples, sent) !== 0) {
      effect = 'samples of a good reading';
      const exact = exactEffective(series.firings[sound]!.opening);
      const shift = Math.abs((figures.effective ?? 0) - series.readings[sound]!.figures.effective!);
      tolerances = Math.max(tolerances, shift / tolerance(exact));
    } else if (effect !== 'samples of a good reading' && !sameContact(firing, series.readings[sound]!.firing))
      effect = 'its contact edges';
  }
  return { effect, tolerances };
}

function nearest({ readings }: SoundSeries, tick: number): number {
  const apart = readings.map(({ firing }) => Math.abs(firing.firstTick - tick));
  return apart.indexOf(Math.min(...apart));
}

const sameContact = (a: ChainReading['firing'], b: ChainReading['firing']) =>
  JSON.stringify(a.contact) === JSON.stringify(b.contact);
