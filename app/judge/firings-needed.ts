import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { combine } from './combined-uncertainty.ts';
import { hasPassZone } from './speed-verdict.ts';
import { repeatability } from './uncertainty-budget.ts';
import type { Band, Budget } from './verdict.ts';

/** More firings than this nobody will take at one mark. */
const MOST = 1000;

/**
 * The least number of firings with which U would leave room for a pass between the guard bands, if the
 * spread stays as it is: s/√n shrinks and its degrees of freedom grow, every other line of the budget stays.
 * Null if even a thousand would not do, because the other lines alone take up the band.
 */
export function firingsNeeded(budget: Budget, sd: Stops, band: Band): number | null {
  const others = budget.lines.filter(({ type }) => type === 'B');
  const wouldDo = (n: number) =>
    hasPassZone(band, stops(combine([repeatability(sd, n), ...others]).expanded));

  if (!wouldDo(MOST)) return null;
  // U falls with every firing more, so that the least number can be found by halving.
  let tooFew = 1;
  let enough = MOST;
  while (enough - tooFew > 1) {
    const middle = (tooFew + enough) >> 1;
    if (wouldDo(middle)) enough = middle;
    else tooFew = middle;
  }
  return enough;
}
