import type { Seconds } from '../../firmware-protocol/units.ts';
import type { ShutterCondition } from './conditions.ts';
import { effectiveTime, type FiringPlan, halfHeightTime, reboundTime, totalOpenTime } from './firing-plan.ts';
import { centralTime } from './seen-opening.ts';

/** One firing as it really was, for whoever checks a measurement against it. */
export interface TrueFiring {
  /** The dial's mark, or null when the blades were held open by hand. */
  readonly mark: string | null;
  readonly condition: ShutterCondition;
  readonly governorQuarterTurns: number;
  readonly plan: FiringPlan;
  /** Cycle at which the release was pressed. */
  readonly releaseCycle: number;
  /** Whether the self-timer ran between release and first light. */
  readonly selfTimer: boolean;
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

export type FiringFacts = Pick<
  TrueFiring,
  | 'mark'
  | 'condition'
  | 'governorQuarterTurns'
  | 'iris'
  | 'plan'
  | 'releaseCycle'
  | 'selfTimer'
  | 'startCycle'
>;

/** The figures of a firing, from its plan. */
export function trueFiring(facts: FiringFacts): TrueFiring {
  const { mark, condition, governorQuarterTurns, iris, plan, releaseCycle, selfTimer, startCycle } = facts;
  return {
    mark,
    condition,
    governorQuarterTurns,
    iris,
    plan,
    releaseCycle,
    selfTimer,
    startCycle,
    effectiveTime: effectiveTime(plan),
    halfHeightTime: halfHeightTime(plan),
    totalOpenTime: totalOpenTime(plan),
    reboundTime: reboundTime(plan),
    stoppedDownTime: centralTime(plan, 2 ** -iris),
  };
}
