/** Whether the fast rate is good for a board and its line: a trial before it is used. */
import type { Hello } from '../../firmware-protocol/messages.ts';
import type { Verdict } from './heard.ts';
import type { StreamEvent } from './stream.ts';

/** Clean stream, by the board's time, that the fast rate is taken up after. */
const TRIAL_SECONDS = 0.5;
/** It must have come by then; a board that does not stream at all would never end the trial. */
const TRIAL_WITHIN_MS = 3000;
/** Longest conversion of a board at its fast rate; at the normal rate one takes 26 µs. */
const FAST_CONVERSION_SECONDS = 20e-6;

/** Why a board that introduced itself over a fast line does not sample at the fast rate; null when it does. */
export function notFast({ kind, ticksPerConversion, tickHz }: Hello): Verdict | null {
  if (kind === 'edges') return failed('This board times edges: it has no sampling rate.');
  if (ticksPerConversion / tickHz <= FAST_CONVERSION_SECONDS) return null;
  return failed('The board’s firmware has no fast rate.');
}

/** 'late': half a second of stream did not come in time. */
export type TrialResult = 'clean' | 'failed' | 'late';

/** Half a second without a gap passes; the first gap fails. */
export class RateTrial {
  readonly #tickHz: number;
  readonly #timer = setTimeout(() => this.end('late'), TRIAL_WITHIN_MS);
  #clean = 0;
  #settle: (result: TrialResult) => void = () => {};
  readonly over = new Promise<TrialResult>((resolve) => {
    this.#settle = resolve;
  });

  constructor({ tickHz }: Pick<Hello, 'tickHz'>) {
    this.#tickHz = tickHz;
  }

  take(event: StreamEvent): void {
    if (event.kind === 'gap') this.end('failed');
    else if (event.kind === 'run') {
      this.#clean += (event.values.length * event.ticksPerSample) / this.#tickHz;
      if (this.#clean >= TRIAL_SECONDS) this.end('clean');
    }
  }

  /** The first end counts. */
  end(result: TrialResult): void {
    clearTimeout(this.#timer);
    this.#settle(result);
  }
}

/** Null for a clean trial. */
export function trialFailure(result: TrialResult): Verdict | null {
  if (result === 'clean') return null;
  return failed(
    result === 'late'
      ? 'At the fast rate the stream came too slowly, or not at all.'
      : 'At the fast rate parts of the stream were damaged or lost right away.',
  );
}

const failed = (sentence: string): Verdict => ({ reason: 'fast rate failed', sentence });
