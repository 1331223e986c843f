/**
 * Checks of the instrument, made before or between the readings: light check, reference light, iris check.
 * While one runs nothing is filed as a firing. Results are kept with the job.
 */

import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { Seconds } from '../../../firmware-protocol/units.ts';
import { whyNotCounted } from '../../judge/counted-readings.ts';
import { farFromMark } from '../../judge/far-from-mark.ts';
import type { IrisReading } from '../../judge/iris-check.ts';
import { notCountedWords } from '../../judge/verdict-words.ts';
import type { SampleRun, StreamEvent } from '../../link/stream.ts';
import type { Firing } from '../../measure/figures.ts';
import { LightCheck } from '../../measure/light-check.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { nextReference } from '../../measure/reference-level.ts';
import { ReferenceLightCheck } from '../../measure/reference-light.ts';
import { referenceLightObstacleSentence } from '../../measure/reference-light-sentences.ts';
import type { Check } from '../../record/job.ts';
import { view } from '../view.ts';
import { changeJob } from './jobs.ts';
import { speedOf } from './marks.ts';
import { say } from './notices.ts';
import { dropReference, holdReference } from './readings.ts';

/** What a check needs of the connection that it runs on. */
export interface CheckedBoard {
  readonly hello: Hello;
  readonly channel: number;
  /** Sends reference pulses, lengths in ticks; rejects with a sentence. Count 0 ends those that run. */
  readonly pulses: (width: number, gap: number, count: number) => Promise<void>;
  /** To be called when the check has ended, however it did. */
  readonly over: () => void;
}

interface Running {
  readonly event: (event: StreamEvent) => void;
  readonly firing?: (firing: Firing) => void;
  readonly ended: () => void;
}

let running: Running | null = null;
/** Ends the watch over job, stage and screen of the running check. */
let unwatch: (() => void) | null = null;

/**
 * What a check finds belongs to the job and the stage that it was begun for. Nor does it go on unseen: whoever
 * has gone to the bench wants the firings filed.
 */
function begin(check: Running): void {
  running = check;
  const { job, stage, screen } = view.getState();
  unwatch = view.subscribe((now) => {
    if (now.job?.id !== job?.id || now.stage !== stage)
      abandonCheck('The check was ended without a result: another job or stage was chosen.');
    else if (now.screen !== screen)
      abandonCheck('The check was ended without a result: its screen was left.');
  });
}

export const isChecking = (): boolean => running !== null;

export function takeCheckEvent(event: StreamEvent): void {
  running?.event(event);
}

export function takeCheckFiring(firing: Firing): void {
  running?.firing?.(firing);
}

/** Ends a check without a result: by the user, or because the board is gone or tells nothing. */
export function abandonCheck(why: string | null = null): void {
  if (running === null) return;
  end();
  if (why !== null) say(why, 'trouble');
}

function end(): void {
  const { ended } = running!;
  running = null;
  unwatch?.();
  view.setState({ checking: null });
  ended();
}

function keep(check: Check, words: string): void {
  end();
  changeJob((job) => ({ ...job, checks: [...job.checks, check] }), words);
}

const stamped = () => ({ at: new Date().toISOString(), stage: view.getState().stage });

const DARK_SECONDS = 2;
export const OPEN_SECONDS = 60;
/** Light this far above dark, as a share of the range, is an open shutter; as far below it, the dark was none. */
const OPEN_SHARE = 0.06;
/** Two periods of a lamp at 100 Hz: one that is chopped goes dark between, and the shutter is open all the same. */
const SMOOTHED_SECONDS = 0.02;
/** A drift can't be told from fewer seconds, but level and flicker can. */
const LEAST_OPEN_SECONDS = 2;
/** The blades' way is left out: the first part of the light does not count. */
const SETTLE_SECONDS = 0.2;

let finishLight: (() => void) | null = null;

/** Dark first, then the shutter held open for up to a minute, wide open, as for the readings. */
export function startLightCheck({ hello, channel, over }: CheckedBoard): void {
  const fullScale = 2 ** hello.bits - 1;
  let check: LightCheck | null = null;
  let step: 'dark' | 'wait for light' | 'open' = 'dark';
  let settling = 0;
  let level: number | null = null;
  let firstTick: SampleRun['firstTick'] | null = null;
  const show = (part: number) => view.setState({ checking: { kind: 'light', step, part } });

  const finish = () => {
    if (check === null || firstTick === null) return;
    const result = check.result();
    keep({ kind: 'light', ...stamped(), result }, 'light check');
    if (!result.problems.includes('too bright') && !result.problems.includes('weak'))
      holdReference({
        reference: {
          height: result.height,
          uncertainty: result.heightUncertainty,
          firstTick,
          origin: 'light check',
        },
        ended: null,
      });
  };
  const event = (event: StreamEvent) => {
    if (event.kind === 'gap') check?.gap();
    if (event.kind !== 'run' || event.channel !== channel) return;
    const secondsPerSample = event.ticksPerSample / hello.tickHz;
    check ??= new LightCheck({ secondsPerSample, fullScale });
    const lasts = event.values.length * secondsPerSample;
    const now = meanOf(event.values);
    level = level === null ? now : level + (now - level) * Math.min(1, lasts / SMOOTHED_SECONDS);
    if (step === 'dark') {
      check.addDark(event.values);
      show(Math.min(1, check.darkSeconds / DARK_SECONDS));
      if (check.darkSeconds < DARK_SECONDS) return;
      step = 'wait for light';
      show(0);
    } else if (level < check.darkLevel - OPEN_SHARE * fullScale) {
      abandonCheck('It got darker than the dark before: begin again, with the shutter closed.');
    } else if (level < check.darkLevel + OPEN_SHARE * fullScale) {
      settling = 0;
      // Closed again: whatever light there was is the result, if it is enough.
      if (step === 'open' && check.openSeconds >= LEAST_OPEN_SECONDS) finish();
    } else if (settling < SETTLE_SECONDS) {
      settling += lasts;
    } else {
      step = 'open';
      firstTick ??= event.firstTick;
      check.addOpen(event.values);
      show(Math.min(1, check.openSeconds / OPEN_SECONDS));
      if (check.openSeconds >= OPEN_SECONDS) finish();
    }
  };
  begin({
    event,
    ended: () => {
      finishLight = null;
      over();
    },
  });
  finishLight = () => {
    if (check !== null && check.openSeconds >= LEAST_OPEN_SECONDS) finish();
    else say('The shutter must stand open for two seconds at least.', 'trouble');
  };
  show(0);
}

/** Ends the light check with what there is. */
export const finishLightCheck = (): void => finishLight?.();

function meanOf(values: Uint8Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

/** A train that the board says nothing of is given up after its length and this. */
const PATIENCE_MS = 3000;

/** Trains of pulses, one after the other; the board tells their exact ticks. */
export function startReferenceLight({ hello, channel, pulses, over }: CheckedBoard): void {
  const check = new ReferenceLightCheck({
    tickHz: hello.tickHz,
    ticksPerSample: hello.ticksPerConversion,
    fullScale: 2 ** hello.bits - 1,
    channel,
  });
  const show = () => view.setState({ checking: { kind: 'reference light', part: check.part } });
  let patience: ReturnType<typeof setTimeout> | undefined;
  const own: Running = {
    event: (event) => {
      check.take(event);
      if (event.kind === 'pulse') show();
      advance();
    },
    ended: () => {
      clearTimeout(patience);
      if (!check.done) void pulses(0, 0, 0).catch(() => undefined);
      over();
    },
  };
  begin(own);
  show();
  advance();

  function advance(): void {
    if (running !== own) return;
    const order = check.nextOrder();
    if (order !== null) {
      clearTimeout(patience);
      const lasts = (1000 * order.count * (order.width + order.gap)) / hello.tickHz;
      patience = setTimeout(() => giveUp('The board told of no pulses in time.'), lasts + PATIENCE_MS);
      pulses(order.width, order.gap, order.count).catch((error: Error) => giveUp(error.message));
    } else if (check.done) finish();
  }
  function giveUp(why: string): void {
    if (running === own) abandonCheck(`The reference light was not read. ${why}`);
  }
  function finish(): void {
    const { obstacle } = check;
    if (obstacle !== null) abandonCheck(referenceLightObstacleSentence(obstacle));
    else keep({ kind: 'reference light', ...stamped(), result: check.result() }, 'reference light');
  }
}

/** What is asked for on either side; three of them will do. */
export const IRIS_FIRINGS = 5;
export const LEAST_IRIS_FIRINGS = 3;

let nextIrisStep: (() => void) | null = null;
/** The user has stopped down, or is done firing. */
export const irisNext = (): void => nextIrisStep?.();

/** Firings wide open, then one stop down, at one mark. They are measured and not filed. */
export function startIrisCheck(mark: string, { over }: Pick<CheckedBoard, 'over'>): void {
  const open: IrisReading[] = [];
  const stopped: IrisReading[] = [];
  let step: 'wide open' | 'one stop down' = 'wide open';
  // The open level of before holds wide open; with the iris closed it does not.
  let reference = view.getState().reference.held;
  const show = (trouble: string) =>
    view.setState({
      checking: {
        kind: 'iris',
        mark,
        step,
        firings: { open: open.length, stopped: stopped.length },
        trouble,
      },
    });
  const firing = (firing: Firing) => {
    const figures = measureFiring(firing, { reference, clock: view.getState().clock });
    const why = whyNotCounted({ figures, firing, setAside: null, rest: null, exercised: true });
    reference = nextReference(reference, firing, figures).reference;
    // A slow firing in between shows the open level; it is none of the mark's.
    if (why === null && isOfAnotherMark(figures.effective, mark)) {
      show('That firing was far from the mark: it was taken for the open level alone.');
      return;
    }
    const shapeless = step === 'wide open' && figures.stoppedDown === null;
    if (why === null && !shapeless) (step === 'wide open' ? open : stopped).push({ figures });
    show(
      why !== null
        ? `The last firing was not taken (${notCountedWords(why)}): fire a slow mark once, with the iris as it is, to show the open level.`
        : shapeless
          ? 'The last firing was not taken: its light is too weak for the shape of the curve.'
          : '',
    );
  };
  const own: Running = {
    event: () => undefined,
    firing,
    ended: () => {
      nextIrisStep = null;
      // Nobody knows whether the iris is wide open again.
      if (step === 'one stop down') dropReference('set-up changed');
      over();
    },
  };
  begin(own);
  nextIrisStep = () => {
    if (step === 'wide open') {
      step = 'one stop down';
      reference = null;
      show('');
      return;
    }
    void read();
  };
  show('');

  async function read(): Promise<void> {
    try {
      // The distribution functions behind it are not loaded with the page.
      const { irisCheck } = await import('../../judge/iris-check.ts');
      const result = irisCheck(mark, open, stopped);
      if (running === own) keep({ kind: 'iris', ...stamped(), result }, 'iris check');
    } catch (error) {
      if (running === own) show((error as Error).message);
    }
  }
}

function isOfAnotherMark(time: Seconds | null, label: string): boolean {
  const { job } = view.getState();
  const speed = job && speedOf(job, label);
  if (!job || !speed || time === null) return false;
  return farFromMark(time, speed, job.series, job.referenceRule) !== null;
}
