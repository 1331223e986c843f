import { readFileSync } from 'node:fs';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Command, Message } from '../../firmware-protocol/messages.ts';

/** The committed firmware, as Intel HEX text. */
export const TESTER_HEX = readFileSync(
  new URL('../../firmware-protocol/atmega328p/tester.hex', import.meta.url),
  'latin1',
);

/** A program that does nothing but sleep, for tests of the shutter: LDI r24, 1; OUT SMCR, r24; SLEEP; RJMP back. */
export const SLEEPING_HEX = ':0800000081E083BF8895FECF6B\n:00000001FF\n';

/** Long enough for the firmware to start, to look over its own program memory and to introduce itself. */
export const START_UP = 2_000_000;
const ANSWER = 800_000;

export interface Runs {
  readonly cycle: number;
  run(untilCycle: number): void;
  takeBytes(): Uint8Array;
}

/** Runs a board and reads what it says; damage of any kind is an error. */
export class Listener {
  readonly messages: Message[] = [];
  readonly #board: Runs;
  readonly #reader = new MessageReader();

  constructor(board: Runs) {
    this.#board = board;
  }

  runFor(cycles: number): Message[] {
    this.#board.run(this.#board.cycle + cycles);
    const before = this.messages.length;
    this.#reader.push(
      this.#board.takeBytes(),
      (message) => this.messages.push(message.type === 'samples' ? kept(message) : message),
      (damage) => {
        throw new Error(`A damaged frame: ${damage.cause}`);
      },
    );
    return this.messages.slice(before);
  }

  /** Sends a command by `send` and runs until it must have been answered. */
  ask(send: (bytes: Uint8Array) => void, command: Command): Message[] {
    send(encodeCommand(command));
    return this.runFor(ANSWER);
  }

  of<Type extends Message['type']>(type: Type): Extract<Message, { type: Type }>[] {
    return this.messages.filter(
      (message): message is Extract<Message, { type: Type }> => message.type === type,
    );
  }
}

/** The reader hands out views into its own buffer. */
const kept = (message: Extract<Message, { type: 'samples' }>) => ({
  ...message,
  values: message.values.slice(),
});
