/** What to set on a shutter as it is: the real time of each mark, and what the iris has to make up for. */
import { type Seconds, type Stops, stops } from '../../firmware-protocol/units.ts';
import type { RecordedOutcome } from './speed-verdict.ts';
import { nearestThird } from './thirds.ts';
import type { Budget, MarkedSpeed, SpeedJudgement, SpeedStatistics } from './verdict.ts';

/** A judged mark of one stage. */
export interface WorkingMark {
  readonly speed: Pick<MarkedSpeed, 'label'>;
  /** Time the mark is compared with; null for B and T. */
  readonly reference: Seconds | null;
  readonly statistics: Pick<SpeedStatistics, 'n' | 'meanTime' | 'meanError'>;
  readonly budget: Pick<Budget, 'expanded'> | null;
  readonly outcome: RecordedOutcome | null;
  readonly judgement: Pick<SpeedJudgement, 'spread'>;
  /** Firings that a verdict takes. */
  readonly least: number;
}

/** Why a mark is not to be used. */
export type UnusableCause = RecordedOutcome | 'erratic' | 'no reading';

export interface WorkingSpeed {
  readonly label: string;
  /** Time the mark stands for. */
  readonly wanted: Seconds;
  readonly n: number;
  /** Mean of the counted firings, also where the mark is not to be used; null without any. */
  readonly time: Seconds | null;
  /** Of the mean against `wanted`; positive is slow. */
  readonly error: Stops | null;
  /** The error in thirds of a stop, to the nearest. */
  readonly thirds: number | null;
  /** Null: to be used. */
  readonly unusable: UnusableCause | null;
  /** The mean rests on fewer firings than the job asks for. */
  readonly tooFew: boolean;
  /** Its uncertainty is so large that the true third may be another one by more than a third. */
  readonly uncertain: boolean;
}

export interface WhatToSet {
  readonly wanted: Seconds;
  /** The mark that stands for this time. */
  readonly label: string;
  /** The mark to set; null: none comes near enough. */
  readonly set: string | null;
  /** Thirds of a stop by which that gives too much light: above zero close the iris by so much, below zero open it. */
  readonly thirds: number;
}

/** Beyond this an iris makes up for too much, and another time is the better choice. Own choice, no source. */
const MOST_THIRDS = 4;
/** Expanded uncertainty (stops) from which a rounded third may be wrong by more than itself. */
const COARSE = 1 / 3;

/** The timed marks in the order given; B and T have no time to work with. */
export function workingSpeeds(marks: readonly WorkingMark[]): readonly WorkingSpeed[] {
  return marks.flatMap((mark): WorkingSpeed[] => {
    const { speed, reference, statistics, budget, least } = mark;
    if (reference === null) return [];
    const { n, meanTime, meanError } = statistics;
    return [
      {
        label: speed.label,
        wanted: reference,
        n,
        time: meanTime,
        error: meanError,
        thirds: meanError === null ? null : nearestThird(meanError),
        unusable: unusableCause(mark),
        tooFew: n < least,
        uncertain: budget !== null && budget.expanded > COARSE,
      },
    ];
  });
}

/** A mark that failed once may fail again, whatever its other firings gave; 'not tried' is void once a firing counts. */
function unusableCause({ outcome, statistics, judgement }: WorkingMark): UnusableCause | null {
  if (outcome === 'did not fire' || outcome === 'stuck open') return outcome;
  if (statistics.meanTime === null) return outcome ?? 'no reading';
  return judgement.spread === 'erratic' ? 'erratic' : null;
}

/** Nobody should turn to another mark for less than this (thirds): it is as fine as an iris is set. */
const WORTH_ANOTHER_MARK = 2;

interface Choice {
  readonly label: string;
  readonly time: Seconds;
  readonly tooFew: boolean;
  readonly thirds: number;
}

/**
 * For each time that a mark stands for: the mark to set, and what the iris has to make up for. The mark itself, unless
 * another one comes nearer by two thirds of a stop or more; of others the nearest, those with enough firings before
 * those with too few, then the shorter time, which blurs less.
 */
export function whatToSet(speeds: readonly WorkingSpeed[]): readonly WhatToSet[] {
  const usable = speeds.flatMap(({ label, time, unusable, tooFew }) =>
    unusable === null && time !== null ? [{ label, time, tooFew }] : [],
  );
  return speeds.map(({ label, wanted }) => {
    const choices = usable
      .map((choice) => ({ ...choice, thirds: nearestThird(stops(Math.log2(choice.time / wanted))) }))
      .filter(({ thirds }) => Math.abs(thirds) <= MOST_THIRDS);
    const best = bestChoice(choices, label);
    return best === null
      ? { wanted, label, set: null, thirds: 0 }
      : { wanted, label, set: best.label, thirds: best.thirds };
  });
}

function bestChoice(choices: readonly Choice[], label: string): Choice | null {
  const own = choices.find((choice) => choice.label === label);
  const [other] = choices
    .filter((choice) => choice !== own && (own === undefined || !choice.tooFew))
    .toSorted(
      (a, b) =>
        Number(a.tooFew) - Number(b.tooFew) || Math.abs(a.thirds) - Math.abs(b.thirds) || a.time - b.time,
    );
  if (own === undefined || other === undefined) return own ?? other ?? null;
  return Math.abs(own.thirds) - Math.abs(other.thirds) >= WORTH_ANOTHER_MARK ? other : own;
}
