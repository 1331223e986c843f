/**
 * Damaged frames through the reader, the assembler and the finder, as the page runs them. The frames are those of
 * thirty firings that the real firmware sent. Each damaged one comes between sound ones, so that nothing but itself
 * can betray it; what nothing noticed is then put into the whole series as its only damage, to see what becomes of
 * the readings.
 */
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Message } from '../../firmware-protocol/messages.ts';
import { seededRandom } from '../seeded-random.ts';
import { recordSeries, type SoundSeries } from '../whole/damaged-line.ts';
import { type Frames, Line } from './damaged-frame-line.ts';
import { type Effect, effectOnReadings } from './damaged-frame-readings.ts';
import { DAMAGED_BYTES, type Damaged, MISPLACED_FRAMES } from './frame-damages.ts';

const FIRINGS = 30;
/** Sound frames between damaged ones, at least. */
const SOUND_BETWEEN = 2;
/** At the end of the series nothing would follow that shows what is missing. */
const LEFT_SOUND = 600;
/**
 * How many times its chance of one in 65,536 a 16-bit CRC may let damage through. Twice, since X-25 sees every odd
 * number of flipped bits and pays for it among the even ones.
 */
const MOST_CHANCES = 2;

interface Tally {
  damaged: number;
  /** Of these, how many brought a frame past its CRC that the board had not sent in this place. */
  passed: number;
  /** How many nothing noticed. */
  silent: number;
  readonly effects: Partial<Record<Effect, number>>;
}

interface Silent {
  readonly kind: string;
  readonly at: number;
  readonly damaged: Damaged;
  readonly valuesOnly: boolean;
}

/**
 * `runs` damaged frames. Fails when the CRC lets through more than its chance, when the finder takes anything among
 * the damage for a good firing, or when something other than changed values within a block with a sound header (which
 * the CRC alone can see) reaches the samples of a good reading.
 */
export function damagedFrameRuns(runs: number): boolean {
  const series = recordSeries(FIRINGS, 20261126);
  const frames = framesOf(series);
  const kinds = { ...DAMAGED_BYTES, ...MISPLACED_FRAMES };
  const names = Object.keys(kinds);
  const tallies = new Map<string, Tally>(
    names.map((kind) => [kind, { damaged: 0, passed: 0, silent: 0, effects: {} }]),
  );
  const stoppedBy: Record<string, number> = {};
  const silent: Silent[] = [];
  let done = 0;
  let good = 0;
  const begun = performance.now();
  for (let pass = 0; done < runs; pass++) {
    const random = seededRandom(pass);
    const line = new Line(frames);
    let sound = 0;
    for (let at = 0; at < frames.bytes.length - LEFT_SOUND && done < runs; ) {
      const kind = names[done % names.length]!;
      const damaged = line.primed && sound >= SOUND_BETWEEN ? kinds[kind]!(frames.bytes, at, random) : null;
      if (!damaged || isUnchanged(damaged, frames.bytes, at)) {
        line.push(frames.bytes[at++]!);
        sound++;
        continue;
      }
      done++;
      const verdict = line.judge(damaged, at);
      const tally = tallies.get(kind)!;
      tally.damaged++;
      if (verdict.passed) tally.passed++;
      if (verdict.passed && verdict.stoppedBy !== null && kind in DAMAGED_BYTES)
        stoppedBy[verdict.stoppedBy] = (stoppedBy[verdict.stoppedBy] ?? 0) + 1;
      if (verdict.stoppedBy === null) {
        tally.silent++;
        silent.push({ kind, at, damaged, valuesOnly: verdict.valuesOnly });
      }
      at = verdict.next;
      sound = 0;
    }
    good += line.good;
  }
  console.log(
    `  ${done.toLocaleString('en')} damaged frames in ${((performance.now() - begun) / 1e3).toFixed(0)} s`,
  );
  const reached = reachedReadings(series, frames, silent, tallies);
  return report(tallies, stoppedBy, good, reached);
}

function framesOf(series: SoundSeries): Frames {
  const bytes: Uint8Array[] = [];
  for (let from = 0; from < series.bytes.length; ) {
    const to = series.bytes.indexOf(0, from) + 1;
    if (to > from + 1) bytes.push(series.bytes.slice(from, to));
    from = to;
  }
  const messages: Message[] = [];
  const reader = new MessageReader();
  for (const frame of bytes)
    reader.push(
      frame,
      (message) => messages.push(message),
      () => {},
    );
  if (messages.length !== bytes.length) throw new Error('The series is not sound');
  return { hello: series.hello, bytes, messages };
}

/** Delimiters more at its ends are no damage. */
function isUnchanged({ bytes, frames }: Damaged, sound: readonly Uint8Array[], at: number): boolean {
  if (frames !== 1) return false;
  const own = sound[at]!;
  let from = 0;
  while (bytes[from] === 0) from++;
  let to = bytes.length;
  while (to > from && bytes[to - 1] === 0) to--;
  return to < bytes.length && Buffer.compare(bytes.subarray(from, to), own.subarray(0, own.length - 1)) === 0;
}

/** Puts each damage that nothing noticed into the series. Those that reached a good reading. */
function reachedReadings(
  series: SoundSeries,
  frames: Frames,
  silent: readonly Silent[],
  tallies: ReadonlyMap<string, Tally>,
) {
  const reached: (Silent & { readonly tolerances: number })[] = [];
  for (const one of silent) {
    const { effect, tolerances } = effectOnReadings(series, frames.bytes, one.at, one.damaged);
    const { effects } = tallies.get(one.kind)!;
    effects[effect] = (effects[effect] ?? 0) + 1;
    if (effect === 'samples of a good reading') reached.push({ ...one, tolerances });
  }
  return reached;
}

function report(
  tallies: ReadonlyMap<string, Tally>,
  stoppedBy: Readonly<Record<string, number>>,
  good: number,
  reached: readonly (Silent & { readonly tolerances: number })[],
): boolean {
  for (const [kind, { damaged, passed, silent, effects }] of tallies) {
    const words = Object.entries(effects).map(([effect, count]) => `${count} ${effect}`);
    console.log(
      `    ${kind}: ${damaged.toLocaleString('en')}, ${passed.toLocaleString('en')} past the CRC, ${silent} unnoticed` +
        (words.length > 0 ? ` (they changed: ${words.join(', ')})` : ''),
    );
  }
  const bytes = Object.keys(DAMAGED_BYTES).map((kind) => tallies.get(kind)!);
  const sum = (field: 'damaged' | 'passed' | 'silent') => bytes.reduce((all, one) => all + one[field], 0);
  const [damaged, passed, silent] = [sum('damaged'), sum('passed'), sum('silent')];
  const expected = damaged / 2 ** 16;
  // Some kinds can't pass at all, so only too many say anything; five standard deviations of a count beside it.
  const most = MOST_CHANCES * expected + 5 * Math.sqrt(MOST_CHANCES * expected) + 5;
  const checks = Object.entries(stoppedBy).map(([check, count]) => `${count} by ${check}`);
  const beyondCrc = reached.filter(({ valuesOnly }) => !valuesOnly).length;
  const far = reached.filter(({ tolerances }) => tolerances > 1).length;
  console.log(
    `  damaged bytes: ${damaged.toLocaleString('en')}; past the CRC ${passed} (one in 65,536 would be ${expected.toFixed(1)});\n` +
      `    of these stopped: ${checks.join(', ') || 'none'}; unnoticed ${silent}\n` +
      `  good firings made of damage: ${good}\n` +
      `  good readings with a changed sample: ${reached.length}, of which ${far} by more than a reading's tolerance; ` +
      `${beyondCrc} of them by anything but values inside a block, which the CRC alone can see`,
  );
  return passed <= most && good === 0 && beyondCrc === 0;
}
