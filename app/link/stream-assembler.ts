import type { Edge, Hello, Message, Samples } from '../../firmware-protocol/messages.ts';
import { type Ticks, ticks } from '../../firmware-protocol/units.ts';
import type { Gap, GapCause, StreamEvent } from './stream.ts';

const TWO_32 = 2 ** 32;

interface Expected {
  readonly index: number;
  readonly tick: number;
}

/**
 * Turns one session's messages into the stream: ticks unwrapped, channels separated, and a gap wherever
 * sequence number, conversion index and tick don't all continue. A damaged frame that passed its CRC by
 * chance (one in 65,536) is caught here unless its header is whole.
 */
export class StreamAssembler {
  #hello: Hello;
  #sequence: number | null = null;
  #expected: Expected | null = null;
  /** Unwrapped tick seen last; null before the first. */
  #latestTick: number | null = null;
  #emit: (event: StreamEvent) => void;

  constructor(hello: Hello, emit: (event: StreamEvent) => void) {
    this.#hello = hello;
    this.#emit = emit;
  }

  /** The latest tick any message has told; null before the first. */
  get latestTick(): Ticks | null {
    return this.#latestTick === null ? null : ticks(this.#latestTick);
  }

  /** The stream starts anew: nothing that comes continues what came. */
  restart(cause: GapCause): void {
    this.#sequence = null;
    this.#expected = null;
    this.#latestTick = null;
    this.gap(cause);
  }

  /** Something was lost between the message before and the next one. */
  gap(cause: GapCause): void {
    this.#expected = null;
    const gap: Gap = { kind: 'gap', cause };
    this.#emit(gap);
  }

  /** After damage the next frame's number can't be foretold, and the gap has been reported already. */
  damaged(): void {
    this.#sequence = null;
    this.gap('damaged');
  }

  /** A whole frame of a type this page doesn't know has gone by. */
  skipped(sequence: number): void {
    if (this.#sequence !== null && sequence !== this.#sequence) this.gap('missing');
    this.#sequence = (sequence + 1) & 0xff;
  }

  message(message: Message): void {
    this.skipped(message.sequence);
    if (!this.#canBeOurs(message)) {
      this.gap('damaged');
      return;
    }
    switch (message.type) {
      case 'samples':
        this.#samples(message);
        break;
      case 'edge':
        this.edge(message);
        break;
      case 'pulse': {
        const rise = this.#unwrap(message.rise);
        this.#emit({ kind: 'pulse', rise, fall: ticks(rise + ((message.fall - message.rise) >>> 0)) });
        break;
      }
      case 'shutter': {
        if (message.lost > 0) this.gap('missing');
        const open = this.#unwrap(message.open);
        const close = ticks(open + ((message.close - message.open) >>> 0));
        this.#emit({ kind: 'timed opening', channel: message.channel, open, close });
        break;
      }
      case 'status':
        this.#unwrap(message.tick);
        break;
      case 'hello':
      case 'reply':
        break;
    }
  }

  /** False for what this board never sends: damage that passed the CRC, or another device on the line. */
  #canBeOurs(message: Message): boolean {
    const { kind, channels } = this.#hello;
    if (message.type === 'shutter') return kind === 'edges' && (channels & (1 << message.channel)) !== 0;
    return message.type !== 'samples' || (kind === 'samples' && (message.mask & ~channels) === 0);
  }

  /** An edge of contact or release, whenever it was told. */
  edge({ input, closed, lost, tick: raw }: Edge): void {
    // Edges lost on a bouncing contact say nothing against the light, which has its own count.
    const tick = this.#unwrap(raw);
    this.#emit(
      input === 'contact'
        ? { kind: 'contact', tick, closed, lost }
        : { kind: 'release', tick, pressed: closed, lost },
    );
  }

  #samples(block: Samples): void {
    const step = this.#hello.ticksPerConversion;
    const tick = this.#unwrap(block.tick);
    const { values } = block;
    if (this.#expected) {
      // Boards that read the tick instead of deriving it may be off by less than half a conversion.
      const late = Math.abs(tick - this.#expected.tick) > step / 2;
      if (block.index !== this.#expected.index) this.gap('missing');
      else if (late) this.gap('overrun');
    }
    if (block.lost > 0) {
      // Conversions are missing somewhere inside: where, the board can't say.
      this.gap('overrun');
      return;
    }
    this.#expected = {
      index: (block.index + values.length) % TWO_32,
      tick: tick + values.length * step,
    };
    const channels = channelsOf(block.mask);
    if (channels.length === 1) {
      const channel = channels[0]!;
      this.#emit({ kind: 'run', channel, firstTick: tick, ticksPerSample: step, values });
      return;
    }
    const start = Math.max(0, channels.indexOf(block.first));
    for (let k = 0; k < channels.length; k++) {
      const channel = channels[(start + k) % channels.length]!;
      const own = new Uint8Array(Math.ceil((values.length - k) / channels.length));
      for (let i = 0; i < own.length; i++) own[i] = values[k + i * channels.length]!;
      if (own.length > 0)
        this.#emit({
          kind: 'run',
          channel,
          firstTick: ticks(tick + k * step),
          ticksPerSample: step * channels.length,
          values: own,
        });
    }
  }

  /**
   * Unwrapped tick nearest to the one seen last. Messages may come slightly out of the order of their
   * ticks (an edge is sent before the block it falls in), hence the signed difference.
   */
  #unwrap(raw: number): Ticks {
    const unsigned = raw >>> 0;
    if (this.#latestTick === null) {
      this.#latestTick = unsigned;
      return ticks(unsigned);
    }
    const difference = (unsigned - (this.#latestTick % TWO_32)) | 0;
    const tick = this.#latestTick + difference;
    if (tick > this.#latestTick) this.#latestTick = tick;
    return ticks(tick);
  }
}

function channelsOf(mask: number): number[] {
  const channels: number[] = [];
  for (let bit = 0; bit < 8; bit++) if (mask & (1 << bit)) channels.push(bit);
  return channels;
}
