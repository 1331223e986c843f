/** The bytes of a board that streams one channel, made up. */

import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { type Message, SAMPLES_PER_BLOCK } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { status } from '../link/fake-port.ts';
import {
  convert,
  openFraction,
  openingOf,
  SECONDS_PER_SAMPLE,
  TICKS_PER_SAMPLE,
} from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';

/** Dark near the lower end of the converter: two or three samples in a hundred are 0 and cost COBS a new run. */
const LIGHT = { dark: 3, height: 200, noise: 1 };
const BLOCKS_PER_STATUS = 75; // four a second
const FIRST_LIGHT = 0.5;
/** Within each second. */
const EDGES = [
  { at: 0.485, input: 'release', closed: true },
  { at: 0.502, input: 'contact', closed: true },
  { at: 0.515, input: 'contact', closed: false },
  { at: 0.6, input: 'release', closed: false },
] as const;

export interface SampleStream {
  /** Whole frames, delimiter included, in the board's order. */
  readonly frames: readonly Uint8Array[];
  readonly bytes: Uint8Array;
  readonly samples: number;
}

/** A firing of 1/60 with contact and release edges each second, a status four times a second. */
export function sampleStream(seconds: number): SampleStream {
  const opening = openingOf(1 / 60, 'squared', 0.002);
  const blocks = Math.round(seconds / SECONDS_PER_SAMPLE / SAMPLES_PER_BLOCK);
  const codes = convert(
    (time) => openFraction(opening, (time % 1) - FIRST_LIGHT),
    blocks * SAMPLES_PER_BLOCK,
    LIGHT,
    seededRandom(20261125),
  );
  const frames: Uint8Array[] = [];
  const send = (message: DistributiveOmit<Message, 'sequence'>) =>
    frames.push(encodeMessage({ ...message, sequence: frames.length & 0xff } as Message));
  const tickAt = (sample: number) => ticks((sample * TICKS_PER_SAMPLE) % 2 ** 32);

  for (let index = 0; index < codes.length; index += SAMPLES_PER_BLOCK) {
    const end = index + SAMPLES_PER_BLOCK;
    const values = codes.subarray(index, end);
    send({ type: 'samples', index, tick: tickAt(index), mask: 1, first: 0, lost: 0, values });
    if ((index / SAMPLES_PER_BLOCK) % BLOCKS_PER_STATUS === 0) send(statusAt(tickAt(index)));
    const second = Math.floor(index * SECONDS_PER_SAMPLE);
    for (const { at, input, closed } of EDGES) {
      const sample = Math.round((second + at) / SECONDS_PER_SAMPLE);
      if (sample >= index && sample < end)
        send({ type: 'edge', input, closed, tick: tickAt(sample), lost: 0 });
    }
  }
  return { frames, bytes: new Uint8Array(Buffer.concat(frames)), samples: codes.length };
}

const statusAt = (tick: ReturnType<typeof ticks>) => ({ ...status, tick, supplyMillivolts: 4987 });

type DistributiveOmit<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;
