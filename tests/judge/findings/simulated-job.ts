/**
 * Stages of jobs as findings see them, from the practice shutter's plans without board and light: the time is the
 * plan's effective time, with the spread of firings and a small error of measurement on it.
 */

import type { FindingMark, FindingReading, FindingsInput } from '../../../app/judge/finding.ts';
import { profileOf } from '../../../app/judge/profile.ts';
import { LEAF_SERIES } from '../../../app/judge/series.ts';
import type { RecordedOutcome } from '../../../app/judge/speed-verdict.ts';
import type { Remark } from '../../../app/measure/figures.ts';
import { NO_FIGURES } from '../../../app/measure/figures.ts';
import type { ShutterCondition } from '../../../app/practice/conditions.ts';
import { effectiveTime, type FiringPlan, reboundTime, timeAbove } from '../../../app/practice/firing-plan.ts';
import { PRACTICE_MARKS, type ShutterMark } from '../../../app/practice/marks.ts';
import { Random } from '../../../app/practice/random.ts';
import { closedAfter, planFiring } from '../../../app/practice/shutter.ts';
import { seconds } from '../../../firmware-protocol/units.ts';

/** An hour's rest is one by any rule; a few seconds between firings are none. */
const LONG_REST = 3600;
const SHORT_REST = 8;
/** How long B is held (s). */
const HELD = 0.8;
/** Threshold of first and last light, as a share of the open level. */
const FIRST_LIGHT = 0.01;
/** Standard deviation of a measured time, as a share of it: far below what a shutter scatters by. */
const MEASURING_NOISE = 0.001;

/** What a simulated fault makes of a firing; all that is left out stays as it is. */
export interface Change {
  /** On the time, in stops; then milliseconds on top. */
  readonly stops?: number;
  readonly milliseconds?: number;
  /** Further spread of this firing (SD in stops). */
  readonly spread?: number;
  readonly remarks?: readonly Remark[];
  readonly reboundPeak?: number;
  readonly neverCloses?: boolean;
  /** The cam gives the time of another mark, so many stops longer, instead of its own. */
  readonly asLongAs?: { readonly mark: string; readonly stops: number };
}

export interface Situation {
  readonly mark: ShutterMark;
  /** From 1 on, over all marks. */
  readonly ordinal: number;
  readonly rested: boolean;
  readonly mounting: FindingReading['mounting'];
}

export interface JobOptions {
  readonly seed: number;
  readonly condition?: ShutterCondition;
  readonly governorQuarterTurns?: number;
  /** Timed marks; those of the practice shutter when left out, with cam offsets drawn for this job if 'ordinary'. */
  readonly cams?: 'as built' | 'ordinary';
  readonly labels?: readonly string[];
  readonly firings?: number;
  readonly mountings?: readonly FindingReading['mounting'][];
  /** Marks that begin with a firing after a rest. */
  readonly rests?: readonly string[];
  readonly change?: (situation: Situation) => Change;
}

const NO_CHANGE = (): Change => ({});

/** Mark by mark from slow to fast, as a repairer goes through a series; B comes first if it is among the labels. */
export function simulatedJob(options: JobOptions): FindingsInput {
  const { seed, condition = 'serviced', governorQuarterTurns = 0, cams = 'as built', firings = 5 } = options;
  const { labels, mountings = ['bare'], rests = [], change = NO_CHANGE } = options;
  const random = new Random(seed);
  const ring = PRACTICE_MARKS.filter((mark) =>
    labels === undefined ? mark.marked !== null : labels.includes(mark.label),
  ).map((mark) => (cams === 'as built' ? mark : { ...mark, camOffset: ordinaryOffset(mark, random) }));
  let ordinal = 0;
  const fire = (mark: ShutterMark, mounting: FindingReading['mounting'], rested: boolean, spread: number) => {
    ordinal++;
    const settings = { condition, governorQuarterTurns, firings: ordinal - 1 };
    const changed = change({ mark, ordinal, rested, mounting });
    const { stops = 0, asLongAs, neverCloses = false } = changed;
    const cam = asLongAs === undefined ? mark : ring.find(({ label }) => label === asLongAs.mark)!;
    const plan = planFiring(settings, cam, random, rested ? LONG_REST : SHORT_REST);
    const log = random.normal() * Math.hypot(spread, changed.spread ?? 0) + stops + (asLongAs?.stops ?? 0);
    const held = mark.marked === null && plan.outcome === 'exposes' && !neverCloses;
    return readingOf(held ? closedAfter(plan, HELD) : plan, {
      ordinal,
      mounting,
      rested,
      log,
      changed,
      noise: MEASURING_NOISE * random.normal(),
    });
  };
  const spreads = ring.map(() => 0.025 * random.uniform());
  const readings: FindingReading[][] = ring.map(() => []);
  const outcomes: (RecordedOutcome | null)[] = ring.map(() => null);
  for (const mounting of mountings) {
    for (const [n, mark] of ring.entries()) {
      const more = rests.includes(mark.label) ? 1 : 0;
      for (let k = 0; k < firings + more; k++) {
        const reading = fire(mark, mounting, k < more, spreads[n]!);
        if (reading === 'did not fire') outcomes[n] = 'did not fire';
        else readings[n]!.push(reading);
      }
    }
  }
  const marks = ring.map(
    (mark, n): FindingMark => ({
      label: mark.label,
      reference: mark.marked === null ? null : seconds(mark.marked),
      outcome: outcomes[n]!,
      readings: readings[n]!,
    }),
  );
  return { profile: profileOf(LEAF_SERIES), marks };
}

/**
 * What the cam of a sound shutter is off by, in stops: SD 0.08, and 0.12 at the two fastest marks. Common
 * practice, no source. Not cut off, so that one job in a few hundred has a mark that is off by more than 0.35.
 */
function ordinaryOffset(mark: ShutterMark, random: Random): number {
  return (mark.marked !== null && mark.marked < 1 / 200 ? 0.12 : 0.08) * random.normal();
}

interface Circumstances {
  readonly ordinal: number;
  readonly mounting: FindingReading['mounting'];
  readonly rested: boolean;
  /** Stops on the time. */
  readonly log: number;
  readonly changed: Change;
  readonly noise: number;
}

function readingOf(plan: FiringPlan, of: Circumstances): FindingReading | 'did not fire' {
  if (plan.outcome === 'does not fire') return 'did not fire';
  const { ordinal, mounting, rested, changed } = of;
  const common = { id: `firing ${ordinal}`, ordinal, mounting, rest: rested ? LONG_REST : SHORT_REST };
  const closes = Number.isFinite(plan.fullyOpen);
  const effective = seconds(
    effectiveTime(plan) * 2 ** of.log * (1 + of.noise) + (changed.milliseconds ?? 0) / 1000,
  );
  if (!closes) {
    const figures = { ...NO_FIGURES, remarks: [{ code: 'never closed' as const, value: 90 }] };
    return { ...common, time: null, counted: false, afterRest: false, figures };
  }
  const lost = timeAbove(plan, FIRST_LIGHT) - effectiveTime(plan);
  const total = seconds(effective + lost);
  const peak = changed.reboundPeak ?? plan.rebound?.height;
  const rebound =
    peak === undefined
      ? null
      : {
          effective: plan.rebound === null ? seconds(peak * 2e-3) : reboundTime(plan),
          peak,
          delay: seconds(2.5e-3),
        };
  const remarks: Remark[] = [...(changed.remarks ?? [])];
  if (plan.stroke < 1) remarks.push({ code: 'low peak', value: plan.stroke });
  if (plan.glow !== null) remarks.push({ code: 'glow after closing', value: plan.glow.height });
  const openingFull = seconds(plan.opening.duration);
  const closingFull = seconds(plan.closing.duration);
  return {
    ...common,
    time: effective,
    counted: !rested,
    afterRest: rested,
    figures: {
      ...NO_FIGURES,
      effective,
      total,
      efficiency: effective / total,
      openingFull,
      closingFull,
      rebound,
      remarks,
    },
  };
}
