/** How the speeds of a camera that comes back have changed since an earlier job. */
import { type Stops, stops } from '../../firmware-protocol/units.ts';
import type { MarkResult, StageResult } from '../certificate/stage-results.ts';
import { DASH, errorText, expandedText } from '../certificate/stops-text.ts';
import { signedStops } from '../judge/verdict-words.ts';

export interface SpeedSince {
  readonly mark: string;
  /** Mean errors in EV, as text; a dash where there is none. */
  readonly earlier: string;
  readonly now: string;
  /** By how much the time is longer now (+) or shorter (−), in EV, with its expanded uncertainty if it is known. */
  readonly change: string;
  /** 'slower', 'faster', 'no change shown'; empty where that can't be told. */
  readonly words: string;
}

/**
 * Marks of the earlier result that have a reading in one of the two. Times are compared and not errors: what a
 * mark is judged against may have been agreed otherwise then. The two expanded uncertainties are taken as
 * independent, since set-up and instrument may have changed between the jobs.
 */
export function speedsSince(earlier: StageResult, now: StageResult): readonly SpeedSince[] {
  return earlier.marks.flatMap((then): SpeedSince[] => {
    const present = now.marks.find(({ speed }) => speed.label === then.speed.label);
    if (then.statistics.meanError === null && present?.statistics.meanError == null) return [];
    return [
      {
        mark: then.speed.label,
        earlier: meanText(then),
        now: present ? meanText(present) : DASH,
        ...changeBetween(then, present),
      },
    ];
  });
}

const meanText = ({ statistics: { meanError }, budget, outcome, touched }: MarkResult): string => {
  if (meanError !== null) return errorText(meanError, budget);
  return touched && outcome !== null ? outcome : DASH;
};

function changeBetween(then: MarkResult, now: MarkResult | undefined): Pick<SpeedSince, 'change' | 'words'> {
  const [before, after] = [then.statistics.meanTime, now?.statistics.meanTime];
  if (before === null || after == null) return { change: DASH, words: '' };
  const change = stops(Math.log2(after / before));
  if (then.budget === null || now?.budget == null) return { change: signedStops(change, 2), words: '' };
  const expanded: Stops = stops(Math.hypot(then.budget.expanded, now.budget.expanded));
  return {
    change: `${errorText(change, { expanded })} ± ${expandedText(expanded)}`,
    words: Math.abs(change) <= expanded ? 'no change shown' : change > 0 ? 'slower' : 'faster',
  };
}
