/** What came from a port on which nobody introduced himself, and what that says of it. */
import { CommandType } from '../../firmware-protocol/messages.ts';
import type { RefusedReason } from './session-state.ts';

/** As many bytes are looked at; more of the same say no more. */
const LOOK_AT = 4096;
/** Fewer bytes may be nothing but the line's own movement as it was opened. */
const STRAY_BYTES = 8;
const LEAST_TEXT = 4;
/** Share of bytes that decides. */
const MOST = 0.85;
/** Text that is repeated to the user, in characters. */
const QUOTED = 24;

export interface Verdict {
  readonly reason: RefusedReason;
  readonly sentence: string;
}

/** Gathers what is heard during a greeting; begun anew with each. */
export class Heard {
  #bytes = 0;
  #text = 0;
  #slow = 0;
  #start = '';
  #messages = 0;
  #echoes = 0;

  take(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length && this.#bytes + at < LOOK_AT; at++) {
      const byte = bytes[at]!;
      if (isText(byte)) this.#text++;
      if (isOfSlowerSender(byte)) this.#slow++;
      if (this.#start.length < QUOTED) this.#start += String.fromCharCode(isText(byte) ? byte : 0x20);
    }
    this.#bytes += bytes.length;
  }

  /** A good frame from a board. */
  message(): void {
    this.#messages++;
  }

  /** A good frame of a type that boards don't send. */
  unknown(code: number): void {
    if (commandCodes.has(code)) this.#echoes++;
  }

  get nothing(): boolean {
    return this.#messages === 0 && this.#echoes === 0 && this.#text < LEAST_TEXT && this.#bytes < STRAY_BYTES;
  }

  /** Why this port is no tester's, as far as that can be told. `seconds`: for so long it was listened to. */
  verdict(seconds: number): Verdict {
    const looked = Math.min(this.#bytes, LOOK_AT);
    if (this.#messages > 0)
      return {
        reason: 'no introduction',
        sentence:
          'A tester sends on this port, but it does not answer: nothing that the page sends reaches it. Unplug it, check that ' +
          'nothing is wired to its receive pin (RX, pin 0), and connect again.',
      };
    if (this.#echoes > 0)
      return {
        reason: 'not a tester',
        sentence:
          'This port sends back what is sent to it, as a modem or a loop-back plug does. Choose another port.',
      };
    if (this.nothing)
      return {
        reason: 'nothing heard',
        sentence:
          `Nothing was heard on this port for ${seconds} seconds. Is it the right port? A board that does not carry ` +
          'the Leafclock firmware yet is silent as well: put the firmware on it.',
      };
    if (this.#text >= LEAST_TEXT && this.#text >= MOST * looked)
      return {
        reason: 'sends text',
        sentence:
          `This port sends text (“${this.#start.trim()}”), as a modem, a printer or a board with other firmware ` +
          'does. Choose another port, or put the firmware on the board.',
      };
    if (this.#slow >= MOST * looked)
      return {
        reason: 'wrong speed',
        sentence:
          'What comes from this port is sent at a lower speed than a tester’s. It is another device, a board with ' +
          'other firmware, or one whose crystal is not 16 MHz. Choose another port, or put the firmware on a board with 16 MHz.',
      };
    return {
      reason: 'not a tester',
      sentence:
        'What comes from this port can’t be read: it is another device or a board with other firmware. If it is a ' +
        'tester, press its reset button and connect again; else choose another port, or put the firmware on the board.',
    };
  }
}

const commandCodes: ReadonlySet<number> = new Set(Object.values(CommandType));

const isText = (byte: number) => (byte >= 0x20 && byte < 0x7f) || (byte >= 0x09 && byte <= 0x0d);

/**
 * A sender at half the speed or less changes the level at most at every second bit, counted from the start bit that
 * the receiver falls in with: start bit and bit 0 are one of its bits, bits 1 and 2 the next. One that is slower
 * still shows one change within a byte.
 */
function isOfSlowerSender(byte: number): boolean {
  if (byte & 1) return false;
  const inPairs = (((byte >> 1) ^ (byte >> 2)) & 0b010101) === 0;
  const risesOnce = 0x100 - (byte & -byte) === byte;
  return inPairs || risesOnce;
}
