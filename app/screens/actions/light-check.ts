/** The light check: dark, then the open shutter, as it stands for the readings. */
import type { SampleRun, StreamEvent } from '../../link/stream.ts';
import { LightCheck } from '../../measure/light-check.ts';
import { view } from '../view.ts';
import { abandonCheck, begin, type CheckedBoard, keepCheck, stamped } from './checks.ts';
import { holdReference } from './held-reference.ts';
import { say } from './notices.ts';

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
    keepCheck({ kind: 'light', ...stamped(), result }, 'light check');
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
