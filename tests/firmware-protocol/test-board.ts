import { readFileSync } from 'node:fs';
import { type BoardOptions, CLOCK_HZ, EmulatedBoard } from '../../app/practice/board.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { type Damage, MessageReader } from '../../firmware-protocol/decode.ts';
import { BAUD_RATES, type LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Command, Message, Reply, Samples } from '../../firmware-protocol/messages.ts';

export const CYCLES_PER_TICK = 8;
export const CYCLES_PER_MILLISECOND = CLOCK_HZ / 1000;

/** tester.hex as committed. hex-image.test.ts shows that it is what the source builds. */
export const image = readFileSync(
  new URL('../../firmware-protocol/atmega328p/tester.hex', import.meta.url),
  'utf8',
);

interface Conversion {
  readonly multiplexer: number;
  readonly holdCycle: number;
  readonly code: number;
}

type OfType<Type extends Message['type']> = Extract<Message, { type: Type }>;
/** A command without its tag, which the test board deals out. */
type Untagged = Command extends infer One ? (One extends Command ? Omit<One, 'tag'> : never) : never;

/** How long a page waits for an introduction before it asks again, in ms. */
export const ASKING_EVERY = 250;

/** CPU cycles from one conversion to the next: 13 clocks of the converter at 16 MHz / 32 and / 16. */
export const CYCLES_PER_CONVERSION: Readonly<Record<LineRate, number>> = { normal: 416, fast: 208 };

/** The emulated board with the committed firmware, at the end of a line of either speed, and all that it has said. */
export class TestBoard {
  readonly board: EmulatedBoard;
  /** Of the page's end of the line. */
  readonly baudRate: number;
  readonly messages: Message[] = [];
  readonly damage: Damage[] = [];
  /** Conversions of light since the last start, the one that is not used included; only if asked for. */
  conversions: Conversion[] = [];
  readonly pulseEdges: { readonly level: boolean; readonly cycle: number }[] = [];
  readonly #reader = new MessageReader();
  #tag = 0;

  constructor(options: Partial<BoardOptions> & { keepConversions?: boolean; rate?: LineRate } = {}) {
    const { keepConversions = false, rate = 'normal', ...rest } = options;
    this.baudRate = BAUD_RATES[rate];
    this.board = new EmulatedBoard({
      image,
      light: () => 0,
      onPulse: (level, cycle) => this.pulseEdges.push({ level, cycle }),
      onConversion: (multiplexer, holdCycle, code) => {
        if (keepConversions && multiplexer < 8) this.conversions.push({ multiplexer, holdCycle, code });
      },
      ...rest,
    });
  }

  /** Lets time pass and reads what comes. */
  run(milliseconds: number): void {
    const end = this.board.cycle + milliseconds * CYCLES_PER_MILLISECOND;
    while (this.board.cycle < end) {
      this.board.run(Math.min(end, this.board.cycle + 50 * CYCLES_PER_MILLISECOND));
      this.read();
    }
  }

  read(): void {
    this.#reader.push(
      this.board.takeBytes(this.baudRate),
      (message) => this.messages.push(message),
      (damage) => this.damage.push(damage),
    );
  }

  /** Sends bytes at the page's speed. */
  send(bytes: Uint8Array): void {
    this.board.receive(bytes, this.baudRate);
  }

  /**
   * Runs until the introduction after a reset has come. At the fast rate the board must be asked for it; what it said at
   * its other speed before is forgotten.
   */
  greet(): OfType<'hello'> {
    this.run(200);
    for (let asked = 0; asked < 4 && this.baudRate !== this.board.baudRate; asked++) {
      this.send(encodeCommand({ type: 'hello', tag: 0 }));
      this.run(ASKING_EVERY);
    }
    if (this.baudRate === BAUD_RATES.fast) {
      this.forget();
      this.damage.length = 0;
      this.ask({ type: 'hello' });
    }
    const hello = this.of('hello').at(-1);
    if (!hello) throw new Error('the board has not introduced itself');
    return hello;
  }

  /** Sends a command and runs until its answer has come; throws if there is none within 100 ms. */
  ask(command: Untagged): Reply {
    this.#tag = (this.#tag + 1) & 0xff;
    const tag = this.#tag;
    if (command.type === 'start') this.conversions = [];
    const from = this.messages.length;
    this.send(encodeCommand({ ...command, tag } as Command));
    for (let waited = 0; waited < 100; waited++) {
      this.run(1);
      const reply = this.messages.slice(from).find((one) => one.type === 'reply' && one.tag === tag);
      if (reply) return reply as Reply;
    }
    throw new Error(`no answer to ${command.type}`);
  }

  /**
   * Cycle at which the board's tick was 0, from the one thing both sides show exactly: the pin of the reference
   * light. Sends one short pulse and forgets it.
   */
  findTickZero(): number {
    this.ask({ type: 'pulses', width: 200, gap: 200, count: 1 });
    this.run(5);
    const zero = this.pulseEdges[0]!.cycle - this.of('pulse')[0]!.rise * CYCLES_PER_TICK;
    this.forget();
    return zero;
  }

  of<Type extends Message['type']>(type: Type): OfType<Type>[] {
    return this.messages.filter((message): message is OfType<Type> => message.type === type);
  }

  /** Forgets what has come so far. */
  forget(): void {
    this.messages.length = 0;
    this.pulseEdges.length = 0;
  }

  /** Steps by which the frame number went on other than by one; empty if no frame is missing. */
  get sequenceJumps(): number[] {
    const jumps: number[] = [];
    this.messages.forEach((message, index) => {
      const before = this.messages[index - 1];
      const step = before ? (message.sequence - before.sequence) & 0xff : 1;
      if (step !== 1) jumps.push(step);
    });
    return jumps;
  }
}

/** Conversions that the blocks say are missing between the first and the last of them, inside or between. */
export function conversionsMissing(blocks: readonly Samples[]): number {
  let missing = 0;
  blocks.forEach((block, index) => {
    const next = blocks[index + 1];
    missing += next ? ((next.index - block.index) >>> 0) - block.values.length : block.lost;
  });
  return missing;
}
