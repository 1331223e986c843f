/** The page's way from bytes to firings, watched closely around one damaged frame at a time. */
import { StreamAssembler } from '../../app/link/stream-assembler.ts';
import { FiringFinder } from '../../app/measure/firing-finder.ts';
import { MessageReader, type UnknownMessage } from '../../firmware-protocol/decode.ts';
import { LONGEST_MESSAGE_FRAME } from '../../firmware-protocol/frames.ts';
import type { Hello, Message } from '../../firmware-protocol/messages.ts';
import type { Damaged } from './frame-damages.ts';

export interface Verdict {
  /** A frame passed its CRC that the board had not sent in this place. */
  readonly passed: boolean;
  /** What noticed first; null: nothing did. */
  readonly stoppedBy: string | null;
  /** A sample block passed that differs from the one sent in its values alone. */
  readonly valuesOnly: boolean;
  /** The first frame of the series that has not been pushed yet. */
  readonly next: number;
}

/** A sound series, frame by frame. */
export interface Frames {
  readonly hello: Hello;
  /** Delimiters included. */
  readonly bytes: readonly Uint8Array[];
  readonly messages: readonly Message[];
}

export class Line {
  /** Firings that the finder gave as good. */
  good = 0;
  /** The stream goes on without a gap: the next frame's number, index and tick are known. */
  primed = false;
  readonly #frames: Frames;
  readonly #reader = new MessageReader();
  readonly #assembler: StreamAssembler;
  #sequence = 0;
  #index = 0;
  /** Of the damage that is being judged. */
  #stoppedBy: string | null = null;
  #heard: (Message | UnknownMessage)[] = [];
  #passedCrc = false;
  #present: Message | UnknownMessage | null = null;

  constructor(frames: Frames) {
    this.#frames = frames;
    const { tickHz, bits } = frames.hello;
    const finder = new FiringFinder({ tickHz, fullScale: 2 ** bits - 1 });
    this.#assembler = new StreamAssembler(frames.hello, (event) => {
      if (event.kind === 'gap') this.#gap();
      else if (event.kind === 'run') this.primed = true;
      for (const found of finder.push(event)) if (found.kind === 'firing') this.good++;
    });
  }

  /** A sound frame. */
  push(bytes: Uint8Array): void {
    this.#reader.push(bytes, this.#message, this.#damage, this.#unknown);
  }

  /** Pushes the damaged bytes in the place of frame `at`, and sound frames up to the first block behind. */
  judge(damaged: Damaged, at: number): Verdict {
    const { bytes, messages } = this.#frames;
    this.#stoppedBy = null;
    this.#passedCrc = false;
    this.#heard = [];
    this.push(damaged.bytes);
    const expected = messages.slice(at, at + damaged.frames);
    let next = Math.min(at + damaged.frames, bytes.length);
    for (let block = false; !block && next < bytes.length; next++) {
      this.#present = null;
      this.push(bytes[next]!);
      expected.push(messages[next]!);
      block = messages[next]!.type === 'samples';
    }
    const strangers = this.#heard.filter((heard) => !expected.some((sent) => isSame(sent, heard)));
    // A frame that was sent here, but has come twice or late, is a stranger too.
    const misplaced = this.#heard.length - strangers.length > expected.length;
    return {
      passed: this.#passedCrc || strangers.length > 0 || misplaced,
      stoppedBy: this.#stoppedBy,
      valuesOnly:
        strangers.length > 0 && strangers.every((heard) => expected.some((s) => sameHeader(s, heard))),
      next,
    };
  }

  #message = (message: Message): void => {
    this.#heard.push(message);
    this.#present = message;
    this.#assembler.message(message);
    this.#sequence = (message.sequence + 1) & 0xff;
    if (message.type === 'samples') this.#index = (message.index + message.values.length) % 2 ** 32;
  };

  #unknown = (unknown: UnknownMessage): void => {
    this.#heard.push(unknown);
    this.#present = unknown;
    this.#assembler.skipped(unknown.sequence);
    this.#sequence = (unknown.sequence + 1) & 0xff;
  };

  #damage = ({ cause, bytes }: { cause: string; bytes: number }): void => {
    // The reader's limit is one byte above the longest frame: a frame that is whole told less.
    const whole = cause === 'malformed' || (cause === 'length' && bytes <= LONGEST_MESSAGE_FRAME);
    if (whole) this.#passedCrc = true;
    this.#stoppedBy ??= !whole
      ? 'CRC, coding, length limit'
      : cause === 'length'
        ? 'length of its type'
        : 'a field that its type forbids';
    this.primed = false;
    this.#assembler.damaged();
  };

  #gap(): void {
    this.primed = false;
    this.#stoppedBy ??= this.#whichCheck();
  }

  #whichCheck(): string {
    const present = this.#present;
    if (!present) return 'number or index of what follows';
    if (present.sequence !== this.#sequence) return 'sequence number';
    if (present.type !== 'samples') return 'count of losses';
    if (present.index !== this.#index) return 'conversion index';
    return present.lost > 0 ? 'count of losses' : 'tick';
  }
}

function isSame(sent: Message, heard: Message | UnknownMessage): boolean {
  if (sent.type !== 'samples') return JSON.stringify(sent) === JSON.stringify(heard);
  return sameHeader(sent, heard) && Buffer.compare(sent.values, (heard as typeof sent).values) === 0;
}

/** Two sample blocks of the same place and length. */
function sameHeader(sent: Message, heard: Message | UnknownMessage): boolean {
  return (
    sent.type === 'samples' &&
    heard.type === 'samples' &&
    sent.sequence === heard.sequence &&
    sent.index === heard.index &&
    sent.tick === heard.tick &&
    sent.mask === heard.mask &&
    sent.first === heard.first &&
    sent.lost === heard.lost &&
    sent.values.length === heard.values.length
  );
}
