import { type Stops, stops } from '../../firmware-protocol/units.ts';
import { conformityProbability } from './conformity.ts';
import { firingsNeeded } from './firings-needed.ts';
import { nextShotOdds } from './next-shot.ts';
import { type RecordedOutcome, speedVerdict } from './speed-verdict.ts';
import type {
  Band,
  Budget,
  DecisionRule,
  MarkedSpeed,
  SpeedJudgement,
  SpeedStatistics,
  SpreadVerdict,
  Verdict,
} from './verdict.ts';

export interface MarkToJudge {
  readonly mark: Pick<MarkedSpeed, 'marked'>;
  readonly statistics: SpeedStatistics;
  /** Null as long as there is none (uncertaintyBudget). */
  readonly budget: Budget | null;
  readonly outcome: RecordedOutcome | null;
  readonly band: Band;
  /** Least number of counted firings a verdict may rest on. */
  readonly least: number;
  readonly rule: DecisionRule;
  /** Largest standard deviation of the firings; null for no limit. */
  readonly spreadLimit: Stops | null;
}

/** Verdicts that no time was compared for. */
const NOTHING_COMPARED: ReadonlySet<Verdict> = new Set<Verdict>([
  'did not fire',
  'stuck open',
  'not tried',
  'no time',
]);

/**
 * Everything that is said of one mark. Whether it repeats and whether it is near its mark are two
 * statements: steady but off can be used with a card, erratic can't.
 *
 * No probability is given beside a recorded failure, which it would hide, and none of conformity where
 * there are too few firings for a verdict.
 */
export function speedJudgement(toJudge: MarkToJudge): SpeedJudgement {
  const { mark, statistics, budget, outcome, band, least, rule, spreadLimit } = toJudge;
  const guard = rule === 'simple' ? stops(0) : (budget?.expanded ?? null);
  const verdict = speedVerdict({ mark, statistics, outcome, band, least, guard });
  const compared = !NOTHING_COMPARED.has(verdict);
  const { meanError, sd } = statistics;
  return {
    verdict,
    spread: spreadVerdict(toJudge, spreadLimit),
    conformity:
      !compared || verdict === 'too few' || budget === null || meanError === null
        ? null
        : conformityProbability({ estimate: meanError, u: budget.combined, dof: budget.dof, band }),
    nextShot: compared ? nextShotOdds(statistics, band) : null,
    firingsNeeded:
      verdict === 'undecided' && budget !== null && sd !== null ? firingsNeeded(budget, sd, band) : null,
  };
}

/** With three firings a standard deviation is uncertain by 52 % (GUM table E.1, from memory); with two it says nothing. */
const LEAST_FOR_SPREAD = 3;

/** The standard deviation as it stands against its limit; B and T are held by hand and have no spread to limit. */
function spreadVerdict({ mark, statistics, least }: MarkToJudge, limit: Stops | null): SpreadVerdict {
  if (limit === null || mark.marked === null) return 'no limit';
  const { n, sd } = statistics;
  if (sd === null || n < Math.max(least, LEAST_FOR_SPREAD)) return 'too few';
  return sd <= limit ? 'steady' : 'erratic';
}
