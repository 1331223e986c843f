/** The practice shutter in front of the emulated board: everything of the practice bench but the worker. */
import type { Seconds } from '../../firmware-protocol/units.ts';
import { CLOCK_HZ, EmulatedBoard } from './board.ts';
import { BoardClock } from './board-clock.ts';
import { SHUTTER_CONDITIONS, type ShutterCondition } from './conditions.ts';
import {
  effectiveTime,
  type FiringPlan,
  halfHeightTime,
  lastLight,
  openFraction,
  reboundTime,
  totalOpenTime,
} from './firing-plan.ts';
import { checkLightLevels, type LightLevels, lightCode, PRACTICE_LIGHT, type Scene } from './light.ts';
import { practiceMark } from './marks.ts';
import { Random } from './random.ts';
import { ReferenceLed } from './reference-led.ts';
import { centralTime, checkIris, checkSeenShare, passingLight } from './seen-opening.ts';
import { closedAfter, GOVERNOR_LIMIT, planFiring, planHeldOpen } from './shutter.ts';

/** What the page shows of the practice shutter. Replaced as a whole whenever something changes. */
export interface PracticeState {
  readonly dial: string;
  readonly condition: ShutterCondition;
  readonly governorQuarterTurns: number;
  readonly blades: 'at rest' | 'exposing' | 'held open' | 'stuck open';
  readonly light: LightLevels;
  /** Stops that the iris is closed by; parts of a stop occur. */
  readonly iris: number;
  /** Central share of the opening's area that light and sensor use, above 0 to 1. */
  readonly seenShare: number;
  /** How much the board's resonator is fast. */
  readonly clockPpm: number;
  /** How often the board has given up time it was behind: a clock check has to begin anew after each. */
  readonly skipped: number;
  /** A sentence on what the shutter just did or refused; empty when there is nothing to say. */
  readonly note: string;
}

/** One firing as it really was, for whoever checks a measurement against it. */
export interface TrueFiring {
  /** The dial's mark, or null when the blades were held open by hand. */
  readonly mark: string | null;
  readonly condition: ShutterCondition;
  readonly governorQuarterTurns: number;
  readonly plan: FiringPlan;
  /** Cycle of first light: not a whole number in general. Times of the plan count from here. */
  readonly startCycle: number;
  /** Infinite as long as the blades stand open and nobody knows until when. */
  readonly effectiveTime: Seconds;
  readonly halfHeightTime: Seconds;
  readonly totalOpenTime: Seconds;
  readonly reboundTime: Seconds;
  /** Effective time as stopped down by the iris at the release: ∫ min(a, 2^−k) dt · 2^k, rebound left out. */
  readonly stoppedDownTime: Seconds;
  /** The iris at the release, in stops down. */
  readonly iris: number;
}

export interface PracticeCoreOptions {
  /** The firmware: Intel HEX text. */
  readonly image: string;
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
/** Channel the shutter's light falls on; the other two stay dark. */
const LIT_CHANNEL = 0;
/** Rest kept when blades and contact are done, before the next firing. */
const SETTLING = 10e-3;

export class PracticeCore {
  readonly #board: EmulatedBoard;
  readonly #random: Random;
  readonly #noiseSeed: number;
  readonly #onState: (state: PracticeState) => void;
  #state: PracticeState;
  #firings: TrueFiring[] = [];
  /** Whether the present firing ends when the release is let go. */
  #bulb = false;
  readonly #clock: BoardClock;
  readonly #referenceLed = new ReferenceLed();
  readonly #dark: Scene;
  #lit: Scene;

  /** Throws an Error if the image is no sound hex file, a RangeError for a clock or light that makes no sense. */
  constructor(options: PracticeCoreOptions) {
    const { image, seed, light = PRACTICE_LIGHT, clockPpm = 0, eeprom, onState } = options;
    checkLightLevels(light);
    this.#random = new Random(seed);
    this.#noiseSeed = this.#random.bits32();
    this.#onState = onState ?? (() => {});
    this.#clock = new BoardClock(CLOCK_HZ, clockPpm);
    this.#state = {
      dial: '1/60',
      condition: 'serviced',
      governorQuarterTurns: 0,
      blades: 'at rest',
      light,
      iris: 0,
      seenShare: 1,
      clockPpm,
      skipped: 0,
      note: '',
    };
    this.#lit = {
      passes: (cycle) => this.#passes(cycle),
      referenceIsLit: (cycle) => this.#referenceLed.isLit(cycle),
      cyclesPerSecond: this.#clock.cyclesPerSecond,
      levelsSetAt: 0,
    };
    this.#dark = { ...this.#lit, passes: () => 0, referenceIsLit: () => false };
    this.#board = new EmulatedBoard({
      image,
      light: (channel, cycle) => this.lightAt(channel, cycle),
      onPulse: (lit, cycle) => this.#referenceLed.change(lit, cycle),
      ...(eeprom === undefined ? {} : { eeprom }),
    });
  }

  get state(): PracticeState {
    return this.#state;
  }

  /** Every firing so far, the oldest first, as it really was. */
  get firings(): readonly TrueFiring[] {
    return this.#firings;
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

  /** Converter code, not yet cut to a whole number, that a sample of this channel held at this cycle gets. */
  lightAt(channel: number, cycle: number): number {
    const scene = channel === LIT_CHANNEL ? this.#lit : this.#dark;
    return lightCode(this.#state.light, scene, this.#noiseSeed + channel, cycle);
  }

  #passes(cycle: number): number {
    const firing = this.#firings.findLast((one) => one.startCycle <= cycle);
    if (firing === undefined) return 0;
    const fraction = openFraction(firing.plan, (cycle - firing.startCycle) / this.#clock.cyclesPerSecond);
    return passingLight(fraction, this.#state.iris, this.#state.seenShare);
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
    const { blades } = this.#state;
    if (blades !== 'exposing' && blades !== 'held open') return;
    const { plan, startCycle } = this.#firings.at(-1)!;
    const allDone = Math.max(lastLight(plan), plan.contact.at(-1)?.at ?? 0) + SETTLING;
    if (this.#board.cycle < startCycle + allDone * this.#clock.cyclesPerSecond) return;
    // That the blades didn't move stays to be read; 'not yet' has become untrue.
    this.#change({ blades: 'at rest', note: plan.outcome === 'does not fire' ? this.#state.note : '' });
  }

  /** What the board has sent since the last call. */
  takeBytes(): Uint8Array<ArrayBuffer> {
    return this.#board.takeBytes();
  }

  write(bytes: Uint8Array): void {
    this.#board.receive(bytes);
  }

  /** As when a port is opened: the firmware starts anew, the shutter goes on. */
  resetBoard(): void {
    this.#board.reset('external');
    this.#referenceLed.change(false, this.#board.cycle);
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
    this.#lit = { ...this.#lit, levelsSetAt: this.#board.cycle };
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

  /** Presses the release and lets it go. */
  fire(): void {
    if (this.press()) this.letGo();
  }

  /** Presses the release; at B the blades stay open until `letGo`. Returns whether the shutter went off. */
  press(): boolean {
    if (!this.#ready()) return false;
    const { condition, governorQuarterTurns, dial } = this.#state;
    const mark = practiceMark(dial);
    const firings = this.#firings.length;
    const settings = { condition, governorQuarterTurns, firings };
    const plan = planFiring(settings, mark, this.#random, this.#restSeconds());
    const stuck = plan.outcome === 'sticks open';
    const note = {
      exposes: '',
      'sticks open': 'The blades stay open.',
      'does not fire': 'The release went down; the blades did not move.',
    }[plan.outcome];
    this.#bulb = mark.marked === null && !stuck;
    this.#begin(dial, plan);
    this.#change({ blades: stuck ? 'stuck open' : this.#bulb ? 'held open' : 'exposing', note });
    return true;
  }

  /** Lets go of the release at B, or of blades held open by hand; does nothing else. */
  letGo(): void {
    if (!this.#bulb) {
      if (this.#state.blades === 'held open') this.#close(0);
      return;
    }
    this.#bulb = false;
    if (this.#firings.at(-1)!.plan.outcome === 'exposes') this.#close(SHORTEST_BULB);
  }

  /** Holds the blades open by hand for so many seconds, whatever the dial says: for a look at the light. */
  holdOpen(seconds: number): void {
    if (!(seconds > 0 && seconds <= 60)) throw new RangeError('Blades are held open for up to 60 s.');
    if (!this.#ready()) return;
    this.#begin(null, planHeldOpen(seconds));
    this.#change({ blades: 'held open', note: '' });
  }

  /** Closes blades that stick open. */
  freeBlades(): void {
    if (this.#state.blades !== 'stuck open') return;
    this.#close(0);
    this.#change({ blades: 'exposing', note: '' });
  }

  #ready(): boolean {
    const { blades } = this.#state;
    if (blades === 'at rest') return true;
    if (blades === 'stuck open') {
      this.freeBlades();
      this.#change({ note: 'Cocking closed the blades that stood open. Release again.' });
    } else {
      this.#change({ note: 'Not yet: the last firing is still running.' });
    }
    return false;
  }

  #restSeconds(): number {
    const last = this.#firings.at(-1);
    return last === undefined ? Number.POSITIVE_INFINITY : this.#secondsSince(last.startCycle);
  }

  #secondsSince(cycle: number): number {
    return (this.#board.cycle - cycle) / this.#clock.cyclesPerSecond;
  }

  #begin(mark: string | null, plan: FiringPlan): void {
    const lag = RELEASE_LAG + 1e-3 * this.#random.uniform();
    const { condition, governorQuarterTurns, iris } = this.#state;
    const startCycle = this.#board.cycle + lag * this.#clock.cyclesPerSecond;
    this.#firings.push(trueFiring({ mark, condition, governorQuarterTurns, iris, plan, startCycle }));
    this.#scheduleContact(plan, startCycle, 0);
  }

  /** Closes blades whose end was open, now or after they have stood open for so many seconds. */
  #close(leastFullyOpen: number): void {
    const firing = this.#firings.pop()!;
    const { plan, startCycle } = firing;
    const sinceOpen = this.#secondsSince(startCycle) - plan.opening.duration;
    const closed = closedAfter(plan, Math.max(leastFullyOpen, sinceOpen));
    this.#firings.push(trueFiring({ ...firing, plan: closed }));
    this.#scheduleContact(closed, startCycle, plan.contact.length);
  }

  #scheduleContact(plan: FiringPlan, startCycle: number, from: number): void {
    for (const { at, closed } of plan.contact.slice(from)) {
      this.#board.setContact(closed, Math.round(startCycle + at * this.#clock.cyclesPerSecond));
    }
  }

  #change(change: Partial<PracticeState>): void {
    this.#state = { ...this.#state, ...change };
    this.#onState(this.#state);
  }
}

type FiringFacts = Pick<
  TrueFiring,
  'mark' | 'condition' | 'governorQuarterTurns' | 'iris' | 'plan' | 'startCycle'
>;

function trueFiring({
  mark,
  condition,
  governorQuarterTurns,
  iris,
  plan,
  startCycle,
}: FiringFacts): TrueFiring {
  return {
    mark,
    condition,
    governorQuarterTurns,
    iris,
    plan,
    startCycle,
    effectiveTime: effectiveTime(plan),
    halfHeightTime: halfHeightTime(plan),
    totalOpenTime: totalOpenTime(plan),
    reboundTime: reboundTime(plan),
    stoppedDownTime: centralTime(plan, 2 ** -iris),
  };
}
