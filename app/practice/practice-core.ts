/** The practice shutter in front of the emulated board: everything of the practice bench but the worker. */
import { CLOCK_HZ, EmulatedBoard, type ResetCause } from './board.ts';
import { BoardClock } from './board-clock.ts';
import type { BootLoaderSection } from './chip/self-programming.ts';
import { SHUTTER_CONDITIONS, type ShutterCondition } from './conditions.ts';
import { ContactLine, LEAD_STATES, type LeadState } from './contact-line.ts';
import type { FiringPlan } from './firing-plan.ts';
import { M_DELAY, type PracticeSync, SYNC_SETTINGS } from './flash-contact.ts';
import { checkLightLevels, type LightLevels, PRACTICE_LIGHT } from './light.ts';
import { practiceMark } from './marks.ts';
import { type PracticeState, stateAtFirst } from './practice-state.ts';
import { Random } from './random.ts';
import { ReleaseSwitch } from './release-switch.ts';
import { SeenLight } from './seen-light.ts';
import { checkIris, checkSeenShare } from './seen-opening.ts';
import { selfTimerRun } from './self-timer.ts';
import { GOVERNOR_LIMIT, planFiring, planHeldOpen } from './shutter.ts';
import { ShutterFirings } from './shutter-firings.ts';
import type { TrueFiring } from './true-firing.ts';

export interface PracticeCoreOptions {
  /** The firmware: Intel HEX text, or program memory as 16384 words. */
  readonly image: string | Uint16Array;
  readonly bootLoader?: BootLoaderSection;
  readonly seed: number;
  readonly light?: LightLevels;
  /** How much the board's resonator is fast; 0 when left out. Times of the shutter are true seconds. */
  readonly clockPpm?: number;
  readonly eeprom?: Uint8Array;
  readonly onState?: (state: PracticeState) => void;
}

/** Longest time run in one call of `advance`, in seconds, so that the caller gets a word in. */
const LONGEST_SLICE = 0.05;
/** From the release to first light; a random part of a millisecond comes on top. */
const RELEASE_LAG = 15e-3;
/** B gives at least this, however briefly the release is pressed. */
const SHORTEST_BULB = 50e-3;
export class PracticeCore {
  readonly #board: EmulatedBoard;
  readonly #contact: ContactLine;
  readonly #release: ReleaseSwitch;
  readonly #random: Random;
  readonly #onState: (state: PracticeState) => void;
  #state: PracticeState;
  readonly #firings: ShutterFirings;
  /** Whether the present firing ends when the release is let go. */
  #bulb = false;
  readonly #clock: BoardClock;
  readonly #light: SeenLight;

  /** Throws an Error if the image is no sound hex file, a RangeError for a clock or light that makes no sense. */
  constructor(options: PracticeCoreOptions) {
    const { image, bootLoader, seed, light = PRACTICE_LIGHT, clockPpm = 0, eeprom, onState } = options;
    checkLightLevels(light);
    this.#random = new Random(seed);
    const noiseSeed = this.#random.bits32();
    this.#onState = onState ?? (() => {});
    this.#clock = new BoardClock(CLOCK_HZ, clockPpm);
    this.#state = stateAtFirst(light, clockPpm);
    this.#light = new SeenLight(noiseSeed, this.#clock.cyclesPerSecond, {
      firings: () => this.#firings.all,
      sight: () => this.#state,
    });
    this.#board = new EmulatedBoard({
      image,
      light: (channel, cycle) => this.lightAt(channel, cycle),
      onPulse: (lit, cycle) => this.#light.referenceChanged(lit, cycle),
      ...(eeprom === undefined ? {} : { eeprom }),
      ...(bootLoader === undefined ? {} : { bootLoader }),
    });
    this.#contact = new ContactLine(this.#board);
    this.#firings = new ShutterFirings(this.#board, this.#contact, this.#clock.cyclesPerSecond);
    this.#release = new ReleaseSwitch(this.#board, this.#clock.cyclesPerSecond);
  }

  get state(): PracticeState {
    return this.#state;
  }

  /** Every firing so far, the oldest first, as it really was. */
  get firings(): readonly TrueFiring[] {
    return this.#firings.all;
  }

  get cycle(): number {
    return this.#board.cycle;
  }

  get baudRate(): number {
    return this.#board.baudRate;
  }

  get eeprom(): Uint8Array {
    return this.#board.eeprom;
  }

  /** Program memory as it stands, 16384 words: a view. */
  get program(): Uint16Array {
    return this.#board.program;
  }

  /** Converter code, not yet cut to a whole number, that a sample of this channel held at this cycle gets. */
  lightAt(channel: number, cycle: number): number {
    return this.#light.code(this.#state.light, channel, cycle);
  }

  // Time and line ----------------------------------------------------------------------------------

  /**
   * Brings the board up to the wall clock (`now` in ms, any origin) or as far as one slice goes.
   * Returns whether it is behind, so that the caller comes back at once. What lies further back than it can
   * catch up is given up, and counted in the state.
   */
  advance(now: number): boolean {
    const target = this.#clock.target(now, this.#board.cycle);
    if (this.#clock.skipped !== this.#state.skipped) this.#change({ skipped: this.#clock.skipped });
    const end = Math.min(target, this.#board.cycle + LONGEST_SLICE * this.#clock.cyclesPerSecond);
    this.run(end);
    return end < target;
  }

  /** Runs the board to this cycle, without a clock. */
  run(untilCycle: number): void {
    this.#board.run(untilCycle);
    if (this.#state.selfTimerRuns && this.#board.cycle >= this.#firings.latest.startCycle) {
      this.#wentOff(this.#firings.latest.plan, { selfTimerRuns: false });
    }
    const { blades } = this.#state;
    if (blades !== 'exposing' && blades !== 'held open') return;
    if (this.#board.cycle < this.#firings.doneCycle) return;
    const { plan } = this.#firings.latest;
    // That the blades didn't move stays to be read; 'not yet' has become untrue.
    this.#change({ blades: 'at rest', note: plan.outcome === 'does not fire' ? this.#state.note : '' });
  }

  /** What the board has sent since the last call: as it was sent, or as it is heard at `baudRate`. */
  takeBytes(baudRate?: number): Uint8Array<ArrayBuffer> {
    return this.#board.takeBytes(baudRate);
  }

  /** Bytes to the board, sent at its own speed or at `baudRate`. */
  write(bytes: Uint8Array, baudRate?: number): void {
    this.#board.receive(bytes, baudRate);
  }

  /** As when a port is opened, unless another cause is named: the firmware starts anew, the shutter goes on. */
  resetBoard(cause: ResetCause = 'external'): void {
    this.#board.reset(cause);
    this.#light.referenceChanged(false, this.#board.cycle);
  }

  // Shutter ----------------------------------------------------------------------------------------

  /** @throws RangeError if the shutter has no such mark. */
  setDial(mark: string): void {
    practiceMark(mark);
    this.#change({ dial: mark, note: '' });
  }

  /** @throws RangeError for a condition that isn't listed. */
  setCondition(condition: ShutterCondition): void {
    if (!SHUTTER_CONDITIONS.includes(condition)) throw new RangeError(`No condition “${condition}”.`);
    this.#change({ condition, note: '' });
  }

  /** Turns the governor's plate; positive is in, slower. It stops at its limits and says so. */
  turnGovernor(quarterTurns: number): void {
    const wanted = this.#state.governorQuarterTurns + quarterTurns;
    const reached = Math.min(GOVERNOR_LIMIT, Math.max(-GOVERNOR_LIMIT, wanted));
    const note = reached === wanted ? '' : 'The governor is at its stop.';
    this.#change({ governorQuarterTurns: reached, note });
  }

  /** @throws RangeError for levels that make no sense. */
  setLight(levels: LightLevels): void {
    checkLightLevels(levels);
    this.#light.levelsSet(this.#board.cycle);
    this.#change({ light: levels });
  }

  /** Closes the iris by so many stops. @throws RangeError unless 0 to 6. */
  setIris(stopsDown: number): void {
    checkIris(stopsDown);
    this.#change({ iris: stopsDown });
  }

  /** Lets light and sensor use only the central share of the opening's area. @throws RangeError unless above 0 to 1. */
  setSeenShare(share: number): void {
    checkSeenShare(share);
    this.#change({ seenShare: share });
  }

  /** @throws RangeError for a setting that isn't listed. */
  setSync(sync: PracticeSync): void {
    if (!SYNC_SETTINGS.includes(sync)) throw new RangeError(`No setting “${sync}”.`);
    this.#change({ sync, note: '' });
  }

  /** @throws RangeError for a state that isn't listed. */
  setLead(lead: LeadState): void {
    if (!LEAD_STATES.includes(lead)) throw new RangeError(`No state “${lead}” of the lead.`);
    this.#contact.setLead(lead);
    this.#change({ lead });
  }

  /** Closes the contact by hand for so many seconds. @throws RangeError unless above 0 to 10 s. */
  touchContact(seconds: number): void {
    this.#contact.touch(seconds, this.#clock.cyclesPerSecond);
  }

  /** Presses the release and lets it go. */
  fire(): void {
    if (this.press()) this.letGo();
    else this.#release.letGo();
  }

  /** Presses the release; at B the blades stay open until `letGo`. Returns whether the shutter went off. */
  press(): boolean {
    this.#release.press();
    if (!this.#ready()) return false;
    const plan = this.#plan();
    const delay = this.#state.sync === 'M' ? M_DELAY : 0;
    this.#bulb = practiceMark(this.#state.dial).marked === null && plan.outcome !== 'sticks open';
    this.#begin(this.#state.dial, plan, delay + this.#releaseLag());
    this.#wentOff(plan, {});
    return true;
  }

  /** Lets go of the release, which ends B, or of blades held open by hand. */
  letGo(): void {
    this.#release.letGo();
    if (!this.#bulb) {
      if (this.#state.blades === 'held open') this.#firings.close(0);
      return;
    }
    this.#bulb = false;
    if (this.#firings.latest.plan.outcome === 'exposes') this.#firings.close(SHORTEST_BULB);
  }

  /** Winds the self-timer and presses the release for a moment: the blades open when it has run down. */
  startSelfTimer(): void {
    const { sync, dial, condition } = this.#state;
    if (!this.#ready()) return;
    if (sync === 'M') this.#change({ note: 'With the lever at M the self-timer may jam: set X first.' });
    else if (practiceMark(dial).marked === null)
      this.#change({ note: `The self-timer does not run at ${dial}.` });
    else {
      const seconds = selfTimerRun(condition, this.#random);
      this.#release.press();
      this.#release.letGo();
      this.#begin(dial, this.#plan(), seconds, true);
      this.#change({ selfTimerRuns: true, note: 'The self-timer runs.' });
    }
  }

  /** Holds the blades open by hand for so many seconds, whatever the dial says: for a look at the light. */
  holdOpen(seconds: number): void {
    if (!(seconds > 0 && seconds <= 60)) throw new RangeError('Blades are held open for up to 60 s.');
    if (!this.#ready()) return;
    this.#begin(null, planHeldOpen(seconds), this.#releaseLag());
    this.#change({ blades: 'held open', note: '' });
  }

  /** Closes blades that stick open. */
  freeBlades(): void {
    if (this.#state.blades !== 'stuck open') return;
    this.#firings.close(0);
    this.#change({ blades: 'exposing', note: '' });
  }

  #ready(): boolean {
    const { blades, selfTimerRuns } = this.#state;
    if (selfTimerRuns) {
      this.#change({ note: 'Not yet: the self-timer is running.' });
      return false;
    }
    if (blades === 'at rest') return true;
    if (blades === 'stuck open') {
      this.freeBlades();
      this.#change({ note: 'Cocking closed the blades that stood open. Release again.' });
    } else {
      this.#change({ note: 'Not yet: the last firing is still running.' });
    }
    return false;
  }

  /** What the shutter will do, as it is set now. */
  #plan(): FiringPlan {
    const { condition, governorQuarterTurns, dial, sync } = this.#state;
    const settings = { condition, governorQuarterTurns, sync, firings: this.#firings.all.length };
    return planFiring(settings, practiceMark(dial), this.#random, this.#firings.restSeconds);
  }

  #releaseLag(): number {
    return RELEASE_LAG + 1e-3 * this.#random.uniform();
  }

  /** `lag`: seconds from the release to first light. */
  #begin(mark: string | null, plan: FiringPlan, lag: number, selfTimer = false): void {
    const { condition, governorQuarterTurns, iris } = this.#state;
    const releaseCycle = this.#board.cycle;
    const startCycle = releaseCycle + lag * this.#clock.cyclesPerSecond;
    const facts = { mark, condition, governorQuarterTurns, iris, plan, releaseCycle, selfTimer, startCycle };
    this.#firings.begin(facts);
  }

  /** The blades are about to do what was planned, or not to. */
  #wentOff({ outcome }: FiringPlan, change: Partial<PracticeState>): void {
    const stuck = outcome === 'sticks open';
    const note = {
      exposes: '',
      'sticks open': 'The blades stay open.',
      'does not fire': 'The release went down; the blades did not move.',
    }[outcome];
    this.#change({ ...change, blades: stuck ? 'stuck open' : this.#bulb ? 'held open' : 'exposing', note });
  }

  #change(change: Partial<PracticeState>): void {
    this.#state = { ...this.#state, ...change };
    this.#onState(this.#state);
  }
}
