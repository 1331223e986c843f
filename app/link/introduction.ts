/** Waits for a board to say who it is, and judges what it says. */
import { type Hello, PROTOCOL_VERSION } from '../../firmware-protocol/messages.ts';
import type { Verdict } from './heard.ts';
import { SteadyLooks } from './steady-looks.ts';

/** Nothing is written during a bootloader's first second: it might take a command for its own. */
const QUIET_START_MS = 1000;
export const ASK_EVERY_MS = 250;

export interface IntroductionOptions {
  /** Looks, one each 250 ms, after which nobody is waited for. Looks, not time: timers of a hidden page wait long. */
  readonly looks: number;
  /** Whether the firmware is known to run, so that no bootloader is listening. */
  readonly mayAsk: () => boolean;
  readonly ask: () => void;
}

/** One wait for an introduction. */
export class Introduction {
  readonly #options: IntroductionOptions;
  readonly #steady: SteadyLooks;
  readonly #begun = performance.now();
  #looks = 0;
  #settle: (hello: Hello | null) => void = () => {};
  /** Null when nobody introduced himself. */
  readonly heard = new Promise<Hello | null>((resolve) => {
    this.#settle = resolve;
  });

  constructor(options: IntroductionOptions) {
    this.#options = options;
    this.#steady = new SteadyLooks(ASK_EVERY_MS, () => this.#look());
  }

  /** Bytes have come that say nothing yet. */
  listen(): void {
    this.#steady.heard();
  }

  take(hello: Hello | null): void {
    this.#steady.stop();
    this.#settle(hello);
  }

  #look(): void {
    const { looks, mayAsk, ask } = this.#options;
    if (++this.#looks > looks) this.take(null);
    else if (mayAsk() || performance.now() - this.#begun >= QUIET_START_MS) ask();
  }
}

/** Most ticks in a second that a board may claim (README.md, "A board that times edges"). */
const MOST_TICK_HZ = 20e6;

/** Why this page can't work with a board that says this of itself; null when it can. */
export function objectionTo(hello: Hello): Verdict | null {
  const { protocol, kind, tickHz, ticksPerConversion, bits, channels } = hello;
  if (protocol !== PROTOCOL_VERSION)
    return {
      reason: protocol > PROTOCOL_VERSION ? 'wrong protocol' : 'older protocol',
      sentence:
        `The board speaks version ${protocol} of the protocol, this page speaks version ${PROTOCOL_VERSION}. ` +
        (protocol > PROTOCOL_VERSION
          ? 'Reload the page to get a newer one.'
          : 'Put the present firmware on the board.'),
    };
  const sampling = ticksPerConversion > 0 && bits >= 1 && bits <= 8;
  const possible = tickHz >= 1000 && tickHz <= MOST_TICK_HZ && channels > 0 && (kind === 'edges' || sampling);
  if (possible) return null;
  return {
    reason: 'not a tester',
    sentence:
      'The board introduced itself with figures that can’t be true, and nothing would be measured rightly by them. ' +
      'Put the present firmware on it.',
  };
}
