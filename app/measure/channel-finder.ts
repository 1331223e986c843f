import { ticks } from '../../firmware-protocol/units.ts';
import type { ContactBetween } from './contact-history.ts';
import { DarkWatch } from './dark-watch.ts';
import type { Firing, SpoiltCause } from './figures.ts';
import type { FinderEvent, FinderOptions, FinderState } from './finder-events.ts';
import { REBOUND_SECONDS } from './levels.ts';
import { LightThresholds } from './light-thresholds.ts';
import { LiveLevel } from './live-level.ts';
import { SampleTail } from './sample-tail.ts';

/** Four whole 50 ms blocks of dark and room for the foot of the slowest edge. */
const PRE_ROLL_SECONDS = 0.22;
/** One whole block of dark behind the rebound window, likewise. */
const POST_DARK_SECONDS = 0.055;
const PROVISIONAL_SECONDS = 0.015;
/** Light gone for so long has gone; shorter dips belong to the exposure. */
const GONE_SECONDS = 0.0004;
/** Anything shorter is a spike on the line, no shutter. */
const SHORTEST_SECONDS = 0.0002;
/** Left free between the record of one firing and the first light of the next, for its faint foot. */
const GUARD_SECONDS = 0.001;
const LEVEL_SECONDS = 0.2;
/** Samples in a row that make light. */
const LIT_RUN = 4;
/** Light in one of the first samples after a gap has begun inside it. */
const RESUME_SAMPLES = 4;
/** Samples handled at a time, so that a large run needs no large memory. */
const PIECE = 4096;

interface ChannelContext {
  readonly channel: number;
  readonly options: FinderOptions;
  readonly emit: (event: FinderEvent) => void;
  readonly contactBetween: (first: number, last: number) => ContactBetween;
}

/** Cuts the firings out of one channel. Cost per sample is constant; results don't depend on the runs' sizes. */
export class ChannelFinder {
  readonly ticksPerSample: number;
  neverClosesSeconds: number;
  readonly #context: ChannelContext;
  readonly #secondsPerSample: number;
  readonly #tail: SampleTail;
  readonly #watch: DarkWatch;
  readonly #thresholds = new LightThresholds();
  readonly #level: LiveLevel;
  readonly #preRoll: number;
  readonly #goneRun: number;

  #state: FinderState = 'not dark yet';
  /** Positions in the tail: next sample to look at, and the first that a record may use. */
  #next = 0;
  #usableFrom = 0;
  /** Of the firing in progress. */
  #start = 0;
  #onset = 0;
  #gone = 0;
  #lastLight = 0;
  #bouncing = false;
  #provisionalSent = false;
  /** Set when the firing in progress began inside a gap or before it was dark for long enough after one. */
  #begunInGap: SpoiltCause | null = null;
  /** Samples in a row that are light, and that aren't. */
  #lit = 0;
  #unlit = 0;
  /** The gap after which it is not dark for long enough yet; it was armed before. */
  #gapCause: SpoiltCause | null = null;
  /** Samples for which light is still the rebound of a firing that a gap has spoilt. */
  #rebounding = 0;

  constructor(context: ChannelContext, ticksPerSample: number) {
    const { options } = context;
    this.#context = context;
    this.ticksPerSample = ticksPerSample;
    this.neverClosesSeconds = options.neverClosesSeconds ?? 90;
    this.#secondsPerSample = ticksPerSample / options.tickHz;
    this.#preRoll = this.#samplesIn(PRE_ROLL_SECONDS);
    this.#goneRun = Math.max(8, this.#samplesIn(GONE_SECONDS));
    this.#level = new LiveLevel(this.#samplesIn(LEVEL_SECONDS));
    this.#tail = new SampleTail(2 * this.#preRoll + 2 * PIECE, ticksPerSample);
    this.#watch = new DarkWatch(this.#secondsPerSample, options.fullScale, options.armAfterSeconds ?? 0.1);
  }

  /** Tick at which the next sample is due, or null when none is expected to continue. */
  get expectedTick(): number | null {
    return this.#tail.length === 0 ? null : this.#tail.tickAt(this.#tail.length);
  }

  run(values: Uint8Array, firstTick: number): void {
    for (let from = 0; from < values.length; from += PIECE) {
      const to = Math.min(from + PIECE, values.length);
      this.#tail.append(values, from, to, firstTick + from * this.ticksPerSample);
      this.#scan();
      this.#forget();
    }
  }

  /** Nothing that comes continues what came. */
  gap(cause: SpoiltCause): void {
    if (this.#state === 'open' || this.#state === 'closing') {
      const truncated = this.#state === 'open' ? 'end' : 'no';
      this.#emitSpoilt(this.#tail.length, truncated, this.#begunInGap ?? cause);
    }
    // Light that comes before it is armed again is a firing of which the gap has cost a part. What comes
    // within the rebound window belongs to the firing that has just been given up.
    if (this.#state === 'armed' || this.#state === 'closing') this.#gapCause = cause;
    if (this.#state === 'closing')
      this.#rebounding = Math.max(0, this.#samplesIn(REBOUND_SECONDS) - (this.#tail.length - this.#gone));
    this.#lit = 0;
    this.#tail.drop(this.#tail.length);
    this.#next = 0;
    this.#usableFrom = 0;
    this.#level.reset();
    this.#seekDark();
  }

  #samplesIn(time: number): number {
    return Math.round(time / this.#secondsPerSample);
  }

  #scan(): void {
    const { bytes, length } = this.#tail;
    for (; this.#next < length; this.#next++) {
      const value = bytes[this.#next]!;
      const level = this.#level.add(value);
      if (level !== null) this.#reportLevel(level);
      switch (this.#state) {
        case 'not dark yet':
          this.#whileNotDark(value);
          break;
        case 'armed':
          this.#whileArmed(value);
          break;
        case 'open':
          this.#whileOpen(value);
          break;
        case 'closing':
          this.#whileClosing(value);
          break;
      }
    }
  }

  #whileNotDark(value: number): void {
    if (this.#rebounding > 0) this.#rebounding--;
    else if (this.#gapCause !== null) {
      this.#lit = value >= this.#thresholds.on ? this.#lit + 1 : 0;
      if (this.#lit === LIT_RUN) {
        const cause = this.#gapCause;
        this.#gapCause = null;
        this.#open(this.#next + 1 - LIT_RUN, cause);
        return;
      }
    }
    if (this.#watch.add(value) && this.#watch.accept()) {
      this.#usableFrom = Math.max(this.#usableFrom, this.#next + 1 - this.#watch.samplesHeld);
      this.#gapCause = null;
      this.#arm();
    }
  }

  #whileArmed(value: number): void {
    if (value >= this.#thresholds.on) {
      if (++this.#lit === LIT_RUN) this.#open(this.#next + 1 - LIT_RUN, null);
      return;
    }
    this.#lit = 0;
    if (!this.#watch.add(value)) return;
    if (this.#watch.accept()) this.#thresholds.setDark(this.#watch.dark, this.#watch.noise);
    else this.#enter('not dark yet');
  }

  #whileOpen(value: number): void {
    this.#thresholds.follow(value);
    if (value >= this.#thresholds.off) {
      this.#unlit = 0;
      if (this.#tooLong()) this.#neverClosed();
      return;
    }
    if (++this.#unlit < this.#goneRun) return;
    this.#gone = this.#next + 1 - this.#goneRun;
    if ((this.#gone - this.#onset) * this.#secondsPerSample < SHORTEST_SECONDS) {
      // A spike was no firing; if a gap stood before it, it still stands.
      const cause = this.#begunInGap;
      if (cause === null) this.#arm();
      else {
        this.#seekDark();
        this.#gapCause = cause;
      }
      return;
    }
    this.#lastLight = this.#gone;
    this.#lit = 0;
    this.#bouncing = false;
    this.#provisionalSent = this.#begunInGap !== null;
    this.#enter('closing');
  }

  #whileClosing(value: number): void {
    if (this.#bouncing) {
      this.#whileBouncing(value);
      return;
    }
    const here = this.#next;
    const { on, off } = this.#thresholds;
    this.#lit = value >= Math.max(on, off) ? this.#lit + 1 : 0;
    if (this.#lit === LIT_RUN) {
      const onset = here + 1 - LIT_RUN;
      if ((onset - this.#gone) * this.#secondsPerSample >= REBOUND_SECONDS) {
        this.#nextFiring(onset);
        return;
      }
      this.#bouncing = true;
      this.#unlit = 0;
      this.#lastLight = here;
    }
    this.#sendProvisional();
    const sinceGone = (here - this.#gone) * this.#secondsPerSample;
    const sinceLight = (here - this.#lastLight) * this.#secondsPerSample;
    if (sinceGone >= REBOUND_SECONDS + POST_DARK_SECONDS && sinceLight >= POST_DARK_SECONDS) {
      this.#complete(here + 1);
      const { dark } = this.#watch;
      const settled = Math.abs(this.#meanOf(this.#lastLight + this.#goneRun, here + 1) - dark) <= 3;
      this.#usableFrom = this.#lastLight + this.#samplesIn(GUARD_SECONDS);
      if (settled && this.#begunInGap === null) this.#arm();
      else this.#seekDark();
    }
  }

  #whileBouncing(value: number): void {
    if (value >= this.#thresholds.off) {
      this.#unlit = 0;
      this.#lastLight = this.#next;
      if (this.#tooLong()) {
        this.#neverClosed();
        return;
      }
    } else if (++this.#unlit >= this.#goneRun) {
      this.#bouncing = false;
      this.#lit = 0;
    }
    this.#sendProvisional();
  }

  /** Light again after the rebound window: the record ends before it and the next one begins. */
  #nextFiring(onset: number): void {
    const guard = this.#samplesIn(GUARD_SECONDS);
    this.#complete(onset - guard);
    this.#usableFrom = this.#lastLight + guard;
    this.#open(onset, this.#begunInGap);
  }

  #open(onset: number, begunInGap: SpoiltCause | null): void {
    this.#onset = onset;
    this.#start = Math.max(onset - this.#preRoll, this.#usableFrom, 0);
    this.#begunInGap = begunInGap;
    this.#unlit = 0;
    this.#thresholds.resetPeak();
    for (let i = onset; i <= this.#next; i++) this.#thresholds.follow(this.#tail.bytes[i]!);
    this.#watch.discardBlock();
    this.#enter('open');
  }

  #arm(): void {
    this.#lit = 0;
    this.#watch.discardBlock();
    this.#thresholds.setDark(this.#watch.dark, this.#watch.noise);
    this.#enter('armed');
  }

  #seekDark(): void {
    this.#begunInGap = null;
    this.#watch.reset();
    this.#enter('not dark yet');
  }

  #tooLong(): boolean {
    return (this.#next - this.#onset) * this.#secondsPerSample >= this.neverClosesSeconds;
  }

  #neverClosed(): void {
    const end = this.#next + 1;
    if (this.#begunInGap !== null) this.#emitSpoilt(end, 'end', this.#begunInGap);
    else {
      this.#context.emit({ kind: 'never closed', firing: this.#firing(end, 'end', null) });
    }
    this.#usableFrom = end;
    this.#seekDark();
  }

  #sendProvisional(): void {
    if (this.#provisionalSent) return;
    if ((this.#next - this.#gone) * this.#secondsPerSample < PROVISIONAL_SECONDS) return;
    this.#provisionalSent = true;
    this.#context.emit({ kind: 'provisional', firing: this.#firing(this.#next + 1, 'no', null) });
  }

  #complete(end: number): void {
    if (this.#begunInGap !== null) this.#emitSpoilt(end, 'no', this.#begunInGap);
    else this.#context.emit({ kind: 'firing', firing: this.#firing(end, 'no', null) });
  }

  #emitSpoilt(end: number, truncated: Firing['truncated'], cause: SpoiltCause): void {
    const begunBefore = this.#begunInGap !== null && this.#onset - this.#start < RESUME_SAMPLES;
    const firing = this.#firing(end, begunBefore ? 'start' : truncated, cause);
    this.#context.emit({ kind: 'spoilt', firing });
  }

  #firing(end: number, truncated: Firing['truncated'], spoilt: SpoiltCause | null): Firing {
    const { channel, options, contactBetween } = this.#context;
    const tail = this.#tail;
    const first = tail.tickAt(this.#start);
    return {
      channel,
      tickHz: options.tickHz,
      firstTick: ticks(Math.round(first)),
      ticksPerSample: this.ticksPerSample,
      samples: tail.copy(this.#start, end),
      fullScale: options.fullScale,
      ...contactBetween(first, tail.tickAt(end)),
      truncated,
      spoilt,
    };
  }

  #enter(state: FinderState): void {
    if (state === this.#state) return;
    this.#state = state;
    this.#context.emit({ kind: 'state', channel: this.#context.channel, state });
  }

  #reportLevel(light: number): void {
    const { dark } = this.#watch;
    this.#context.emit({
      kind: 'level',
      channel: this.#context.channel,
      tick: ticks(Math.round(this.#tail.tickAt(this.#next))),
      light,
      dark: Number.isNaN(dark) ? null : dark,
    });
  }

  #meanOf(from: number, to: number): number {
    const { bytes } = this.#tail;
    let sum = 0;
    for (let i = from; i < to; i++) sum += bytes[i]!;
    return sum / (to - from);
  }

  /** Drops samples that no record can need any more, now and then. */
  #forget(): void {
    const idle = this.#state === 'not dark yet' || this.#state === 'armed';
    const needed = idle ? this.#tail.length - this.#preRoll - LIT_RUN : this.#start;
    if (needed < this.#preRoll) return;
    this.#tail.drop(needed);
    this.#next -= needed;
    this.#usableFrom -= needed;
    this.#start -= needed;
    this.#onset -= needed;
    this.#gone -= needed;
    this.#lastLight -= needed;
  }
}
