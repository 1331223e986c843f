/** A sound recording of a series, what is true of it, and what a damaged copy of it leads to. */
import type { StreamEvent } from '../../app/link/stream.ts';
import { Random } from '../../app/practice/random.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';
import { openingOf } from '../measure/known-light.ts';
import { type DamageOptions, LineDamage } from '../rig/line-damage.ts';
import { EmulatedBench, joined, type KnownFiring } from './emulated-bench.ts';
import { type ChainReading, ReadingChain } from './reading-chain.ts';

const MARKS = [4, 8, 15, 30, 60, 125, 250, 500];

/** Ticks from `from` up to, not including, `to`. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

export interface SoundSeries {
  readonly hello: Hello;
  /** From the start of the stream on: whole frames, the last delimiter included. */
  readonly bytes: Uint8Array;
  /** Each frame without its delimiter, as text of one character a byte. All differ. */
  readonly frames: ReadonlySet<string>;
  readonly firings: readonly KnownFiring[];
  readonly readings: readonly ChainReading[];
  /** The whole stream of channel 0. */
  readonly stream: {
    readonly firstTick: number;
    readonly ticksPerSample: number;
    readonly values: Uint8Array;
  };
  /** Frame that carries each sample block, with the ticks of its samples. */
  readonly blocks: readonly (Stretch & { readonly frame: string })[];
}

/** A series of so many firings, straight edges of 1 ms. */
export function recordSeries(count: number, seed: number): SoundSeries {
  const random = new Random(seed);
  const bench = new EmulatedBench({ seed });
  for (let n = 0; n < count; n++)
    bench.expose(openingOf(1 / MARKS[n % MARKS.length]!, 'straight', 0.001), random.uniform());
  const before = joined(bench.bytes.slice(0, bench.beforeStart));
  const all = joined(bench.bytes.slice(bench.beforeStart));
  const bytes = all.subarray(0, all.lastIndexOf(0) + 1);

  const introduction = new ReadingChain(null);
  introduction.push(before);
  const hello = introduction.hello!;
  const values: number[] = [];
  let firstTick: number | null = null;
  let ticksPerSample = 0;
  const chain = new ReadingChain(hello, (event) => {
    if (event.kind === 'gap') throw new Error('The sound recording has a gap.');
    if (event.kind !== 'run') return;
    firstTick ??= event.firstTick;
    ticksPerSample = event.ticksPerSample;
    values.push(...event.values);
  });
  chain.push(bytes);

  const frames = segmentsOf(bytes).whole;
  const blocks = sampleBlocks(frames, ticksPerSample);
  const stream = { firstTick: firstTick!, ticksPerSample, values: Uint8Array.from(values) };
  const { firings } = bench;
  return { hello, bytes, frames: new Set(frames), firings, readings: chain.readings, stream, blocks };
}

function sampleBlocks(frames: readonly string[], ticksPerSample: number): SoundSeries['blocks'] {
  const blocks: SoundSeries['blocks'][number][] = [];
  for (const frame of frames)
    new MessageReader().push(
      Buffer.from(`${frame}\0`, 'latin1'),
      (message) => {
        if (message.type !== 'samples') return;
        const to = message.tick + message.values.length * ticksPerSample;
        blocks.push({ frame, from: message.tick, to });
      },
      () => {},
    );
  return blocks;
}

/** What lies between zeros, empty pieces left out, and what follows the last zero. */
function segmentsOf(bytes: Uint8Array): { whole: string[]; rest: string } {
  const parts = Buffer.from(bytes).toString('latin1').split('\0');
  const rest = parts.pop()!;
  return { whole: parts.filter((part) => part.length > 0), rest };
}

export interface DamagedPass {
  /** Damages done on the line. */
  readonly damages: number;
  readonly readings: readonly ChainReading[];
  /** Frames that the reader refused. */
  readonly refused: number;
  /** Pieces between zeros that no longer are what the board sent: as many must be refused. */
  readonly broken: number;
  /** Messages that the reader passed on, less those that the board sent. */
  readonly passed: number;
  /** Frames that arrived as they were sent. */
  readonly intact: ReadonlySet<string>;
  /** Between the last tick that was handed on before each gap, and the first after it. */
  readonly gaps: readonly Stretch[];
}

/** The series with its bytes before `until` damaged, and the number of damages. */
export function damagedBytes(series: SoundSeries, options: DamageOptions, until = series.bytes.length) {
  const { bytes, damages } = new LineDamage(options).pass(series.bytes.subarray(0, until));
  return { bytes: joined([bytes, series.bytes.subarray(until)]), damages: damages.length };
}

/** Bytes in pieces of random size, many of one or a few bytes. */
export function* pieces(bytes: Uint8Array, seed: number): Generator<Uint8Array> {
  const random = new Random(seed + 0.5);
  for (let at = 0; at < bytes.length; ) {
    const size = Math.ceil(-600 * Math.log(random.uniform()));
    yield bytes.subarray(at, at + size);
    at += size;
  }
}

/** The series over a bad line, handed on in pieces of random size. */
export function overBadLine(
  series: SoundSeries,
  options: DamageOptions,
  until = series.bytes.length,
): DamagedPass {
  const { bytes, damages } = damagedBytes(series, options, until);
  const gaps: Stretch[] = [];
  let end = series.stream.firstTick;
  let openGaps = 0;
  const chain = new ReadingChain(series.hello, (event: StreamEvent) => {
    if (event.kind === 'gap') openGaps++;
    if (event.kind !== 'run') return;
    if (openGaps > 0) gaps.push({ from: end, to: event.firstTick });
    openGaps = 0;
    end = event.firstTick + event.values.length * event.ticksPerSample;
  });
  for (const piece of pieces(bytes, options.seed)) chain.push(piece);
  if (openGaps > 0) gaps.push({ from: end, to: Number.POSITIVE_INFINITY });

  const { whole, rest } = segmentsOf(bytes);
  // Before the first delimiter the reader can't tell damage from a stream joined in the middle of a frame.
  const judged = bytes[0] === 0 ? whole : whole.slice(1);
  const sound = whole.filter((segment) => series.frames.has(segment));
  const { messages, unknown, length, coding, crc, malformed } = chain.reader.counts;
  const endless = rest.length > 144 ? 1 : 0;
  return {
    damages,
    readings: chain.readings,
    refused: length + coding + crc + malformed,
    broken: judged.filter((segment) => !series.frames.has(segment)).length + endless,
    passed: messages + unknown - sound.length,
    intact: new Set(sound),
    gaps,
  };
}
