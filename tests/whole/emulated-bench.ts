/**
 * The rooms together, without a page: the real firmware in the emulated board, and light of known shape in
 * front of it. Nothing here comes from the practice shutter, so that its mistakes can't hide in the tests.
 */
import { CLOCK_HZ, EmulatedBoard } from '../../app/practice/board.ts';
import { normalNoiseAt } from '../../app/practice/random.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { BAUD_RATES, type LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Command } from '../../firmware-protocol/messages.ts';
import { CYCLES_PER_CONVERSION } from '../firmware-protocol/test-board.ts';
import { type KnownOpening, openFraction } from '../measure/known-light.ts';
import { TESTER_HEX } from '../practice/tester-firmware.ts';

/** In steps of 8 bits; not whole, so that no level falls on the edge of a code by design. */
const DARK = 12.3;
const HEIGHT = 198.6;
/** Standard deviation of the noise on one sample, in steps of 8 bits. */
const NOISE = 1;
export const CYCLES_PER_TICK = 8;
/** The emulated converter has ten bits; the firmware takes the upper eight. */
const CODES_PER_STEP = 4;

const START_UP = 0.25 * CLOCK_HZ;
const ANSWER = 0.01 * CLOCK_HZ;
const ASKING_EVERY = 0.25 * CLOCK_HZ;
/** Dark kept before the first light of an opening, and after its last: more than the finder's record asks for. */
const DARK_BEFORE = 0.225;
const DARK_AFTER = 0.135;

export interface KnownFiring {
  readonly channel: number;
  readonly opening: KnownOpening;
  /** Cycle of first light; not a whole number in general. */
  readonly startCycle: number;
}

export interface BenchOptions {
  readonly seed: number;
  /** Channels that are sampled; 1 (A0 alone) when left out. */
  readonly mask?: number;
  /** Normal when left out. */
  readonly rate?: LineRate;
}

export class EmulatedBench {
  readonly firings: KnownFiring[] = [];
  /** All that the board has said so far: introduction, answers, stream. */
  readonly bytes: Uint8Array[] = [];
  /** How many of the byte arrays came before the stream was started. */
  readonly beforeStart: number;
  readonly #board: EmulatedBoard;
  readonly #seed: number;
  readonly #rate: LineRate;
  #tag = 0;

  constructor({ seed, mask = 1, rate = 'normal' }: BenchOptions) {
    this.#seed = seed;
    this.#rate = rate;
    this.#board = new EmulatedBoard({
      image: TESTER_HEX,
      light: (channel, cycle) => this.#code(channel, cycle),
    });
    this.#run(START_UP);
    if (rate === 'fast') this.#changeOver();
    this.#ask({ type: 'channels', tag: this.#nextTag(), mask });
    this.beforeStart = this.bytes.length;
    this.#ask({ type: 'start', tag: this.#nextTag() });
  }

  /**
   * Lets light through once, `phase` (0 to 1) of a sample later than it might, and runs until it is dark again.
   * On further channels it comes `lag` seconds later each. The flash contact is closed from full opening to
   * last light.
   */
  expose(opening: KnownOpening, phase: number, channels: readonly number[] = [0], lag = 0): void {
    const startCycle = this.#board.cycle + DARK_BEFORE * CLOCK_HZ + phase * CYCLES_PER_CONVERSION[this.#rate];
    for (const [n, channel] of channels.entries())
      this.firings.push({ channel, opening, startCycle: startCycle + n * lag * CLOCK_HZ });
    const length = opening.rise + opening.open + opening.fall + (channels.length - 1) * lag;
    this.#board.setContact(true, Math.round(startCycle + opening.rise * CLOCK_HZ));
    this.#board.setContact(false, Math.round(startCycle + length * CLOCK_HZ));
    this.#run(startCycle + (length + DARK_AFTER) * CLOCK_HZ - this.#board.cycle);
  }

  /** Open fraction at a cycle. */
  fraction(channel: number, cycle: number): number {
    const firing = this.firings.findLast((one) => one.channel === channel && one.startCycle <= cycle);
    return firing ? openFraction(firing.opening, (cycle - firing.startCycle) / CLOCK_HZ) : 0;
  }

  #code(channel: number, cycle: number): number {
    const noise = NOISE * normalNoiseAt(this.#seed + channel, cycle);
    return CODES_PER_STEP * (DARK + HEIGHT * this.fraction(channel, cycle) + noise);
  }

  #nextTag(): number {
    return ++this.#tag;
  }

  /** Asks as a page at 1 Mbaud does, and keeps what comes from the board's introduction at that speed on. */
  #changeOver(): void {
    for (let asked = 0; asked < 4 && this.#board.baudRate !== BAUD_RATES.fast; asked++) {
      this.#ask({ type: 'hello', tag: this.#nextTag() });
      this.#run(ASKING_EVERY);
    }
    this.bytes.length = 0;
    this.#ask({ type: 'hello', tag: this.#nextTag() });
  }

  #ask(command: Command): void {
    this.#board.receive(encodeCommand(command), BAUD_RATES[this.#rate]);
    this.#run(ANSWER);
  }

  #run(cycles: number): void {
    this.#board.run(this.#board.cycle + cycles);
    this.bytes.push(this.#board.takeBytes(BAUD_RATES[this.#rate]));
  }
}

export function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
