/**
 * The practice bench as the page holds it: an emulated board whose light comes from a simulated leaf
 * shutter, running in a worker. Bytes go in and out as with a real board; beside them stand the controls
 * of the shutter in the hand. What it is made of: shutter.ts, firing-plan.ts, conditions.ts (shutter),
 * board.ts and chip/ (board), practice-core.ts (both together, without a worker).
 */
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { resonatorPpm } from './board-clock.ts';
import type { ShutterCondition } from './conditions.ts';
import { checkTouch, type LeadState } from './contact-line.ts';
import type { PracticeSync } from './flash-contact.ts';
import { checkLightLevels, type LightLevels } from './light.ts';
import { practiceMark } from './marks.ts';
import type { FromPracticeWorker, ToPracticeWorker } from './messages.ts';
import type { PracticeState } from './practice-state.ts';
import { checkIris, checkSeenShare } from './seen-opening.ts';

export interface PracticeBenchOptions {
  /** The firmware: Intel HEX text. */
  readonly image: string;
  /** The same seed and the same doings at the same times give the same firings. */
  readonly seed: number;
  /** How much the board's resonator is fast; by the seed within ±3000 ppm when left out. */
  readonly clockPpm?: number;
  /** Speed of the page's end of the line; normal when left out (line-speeds.ts). */
  readonly baudRate?: number;
  readonly onBytes: (bytes: Uint8Array<ArrayBuffer>) => void;
  readonly onState: (state: PracticeState) => void;
  /** The board can't run on; `reason` is a sentence. */
  readonly onFailure: (reason: string) => void;
  /** For tests; otherwise the worker beside this file. */
  readonly createWorker?: () => PracticeWorker;
}

/** What is used of a worker. */
type PracticeWorker = Pick<Worker, 'postMessage' | 'terminate'> & {
  onmessage: ((event: MessageEvent<FromPracticeWorker>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
};

const startWorker = (): PracticeWorker =>
  new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });

export class PracticeBench {
  readonly #worker: PracticeWorker;

  /** Starts the worker and powers the board on. */
  constructor(options: PracticeBenchOptions) {
    const { image, seed, clockPpm = resonatorPpm(seed), createWorker = startWorker } = options;
    const { baudRate = BAUD_RATES.normal, onBytes, onState, onFailure } = options;
    this.#worker = createWorker();
    this.#worker.onmessage = ({ data }) => {
      if (data.type === 'bytes') onBytes(data.bytes);
      else if (data.type === 'state') onState(data.state);
      else onFailure(data.reason);
    };
    this.#worker.onerror = (event) => onFailure(event.message || 'The practice board could not be started.');
    this.#post({ type: 'power on', image, seed, clockPpm, baudRate });
  }

  /** Bytes to the board, as over a serial line. */
  write(bytes: Uint8Array): void {
    this.#post({ type: 'bytes', bytes: bytes.slice() });
  }

  /** The board starts anew, as when a port is opened. */
  resetBoard(): void {
    this.#post({ type: 'reset board' });
  }

  /** @throws RangeError if the shutter has no such mark (marks.ts). */
  setDial(mark: string): void {
    practiceMark(mark);
    this.#post({ type: 'dial', mark });
  }

  /** Presses the release and lets it go. While blades move it is refused, with a note in the state. */
  fire(): void {
    this.press();
    this.letGo();
  }

  /** Presses the release; at B the blades stay open until `letGo`. */
  press(): void {
    this.#post({ type: 'press' });
  }

  letGo(): void {
    this.#post({ type: 'let go' });
  }

  /** Holds the blades open by hand, at whatever mark, for a look at the light. Up to 60 s. */
  holdOpen(seconds: number): void {
    this.#post({ type: 'hold open', seconds });
  }

  /** Closes blades that stick open. */
  freeBlades(): void {
    this.#post({ type: 'free blades' });
  }

  /** Turns the governor; positive is in, slower. */
  turnGovernor(quarterTurns: number): void {
    this.#post({ type: 'governor', quarterTurns });
  }

  setCondition(condition: ShutterCondition): void {
    this.#post({ type: 'condition', condition });
  }

  /** @throws RangeError for levels that make no sense. */
  setLight(levels: LightLevels): void {
    checkLightLevels(levels);
    this.#post({ type: 'light', levels });
  }

  /** Closes the iris by so many stops. @throws RangeError unless 0 to 6. */
  setIris(stopsDown: number): void {
    checkIris(stopsDown);
    this.#post({ type: 'iris', stopsDown });
  }

  /** Lets light and sensor use only the central share of the opening's area. @throws RangeError unless above 0 to 1. */
  setSeenShare(share: number): void {
    checkSeenShare(share);
    this.#post({ type: 'seen share', share });
  }

  /** Where the lever for flash stands. */
  setSync(setting: PracticeSync): void {
    this.#post({ type: 'sync', setting });
  }

  /** Winds the self-timer and presses the release: the shutter fires after 8 to 12 s, at the mark set now. */
  startSelfTimer(): void {
    this.#post({ type: 'self-timer' });
  }

  /** The lead between flash contact and board. */
  setLead(state: LeadState): void {
    this.#post({ type: 'lead', state });
  }

  /** Closes the contact by hand, for a test of the lead. @throws RangeError unless above 0 to 10 s. */
  touchContact(seconds: number): void {
    checkTouch(seconds);
    this.#post({ type: 'touch contact', seconds });
  }

  close(): void {
    this.#worker.onmessage = null;
    this.#worker.onerror = null;
    this.#worker.terminate();
  }

  #post(message: ToPracticeWorker): void {
    this.#worker.postMessage(message);
  }
}
