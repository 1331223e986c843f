import { JITTERS, type JitterName, recovery } from '../link/late-arrivals.ts';

const LEAST_WITHIN = 0.93;
/** In ppm. A recovery within a vast uncertainty would be none. */
const MOST_UNCERTAINTY = 20;

/**
 * A board that is wrong by a known amount, watched for a minute, for each kind of jitter. Wanted at
 * +4321 ppm; the others are shown beside it, among them -1590 ppm, where bursts and messages run nearly in
 * step and jitter hides a part of the slope.
 */
export function clockCheckRuns(runs: number): boolean {
  const least = Math.ceil(LEAST_WITHIN * runs);
  let enough = true;
  for (const [ppm, wanted] of [
    [4321, true],
    [-35, false],
    [-1590, false],
  ] as const) {
    for (const jitter of Object.keys(JITTERS) as JitterName[]) {
      const found = recovery(jitter, ppm, runs);
      const met = found.within >= least && found.medianUncertainty <= MOST_UNCERTAINTY;
      if (wanted && !met) enough = false;
      console.log(
        `  ${ppm} ppm, ${jitter}: ${found.within} of ${runs} within k = 2` +
          `${wanted ? ` (least ${least}: ${met ? 'met' : 'NOT MET'})` : ''}; ` +
          `standard uncertainty ${found.medianUncertainty.toFixed(2)} ppm in the middle, ` +
          `${found.largestUncertainty.toFixed(2)} at most; rms error ${found.rms.toFixed(2)} ppm`,
      );
    }
  }
  return enough;
}
