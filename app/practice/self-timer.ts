/** The practice shutter's self-timer. Figures are our own invention. */
import type { ShutterCondition } from './conditions.ts';
import type { Random } from './random.ts';

const RUN_SECONDS = 9.7;
/** Standard deviation of the natural logarithm from run to run. */
const SPREAD = 0.008;
/** One that hesitates halts for up to so many seconds, now and then twice. */
const LONGEST_HALT = 2.5;

/** From the release to first light, in seconds. */
export function selfTimerRun(condition: ShutterCondition, random: Random): number {
  const run = RUN_SECONDS * random.logNormal(SPREAD);
  if (condition !== 'self-timer hesitates') return run;
  const halts = random.chance(0.4) ? 2 : 1;
  let halted = 0;
  for (let n = 0; n < halts; n++) halted += LONGEST_HALT * random.uniform();
  return 1.05 * run + halted;
}
