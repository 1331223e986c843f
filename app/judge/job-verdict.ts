import type { SpeedStatistics, Verdict } from './verdict.ts';
import { moreFirings, verdictHeading, verdictWords } from './verdict-words.ts';

export interface JudgedMark {
  readonly label: string;
  readonly verdict: Verdict;
  readonly statistics: Pick<SpeedStatistics, 'n' | 'meanError'>;
  readonly least: number;
  /** Of the mark's judgement; may be left out where no mark is undecided. */
  readonly firingsNeeded?: number | null;
}

export interface VerdictGroup {
  readonly verdict: Verdict;
  readonly marks: readonly JudgedMark[];
  /** One sentence that names its marks: 'Slow: 1/250 (0.42 stop), 1/500 (0.77 stop).' */
  readonly sentence: string;
}

/** What is wrong comes first, what was left open next, what is well last. */
const ORDER: readonly Verdict[] = [
  'did not fire',
  'stuck open',
  'slow',
  'fast',
  'conditional slow',
  'conditional fast',
  'undecided',
  'too few',
  'not tried',
  'conditional pass',
  'within',
  'no time',
];

/**
 * The verdict on a whole job (one stage of it): its marks, grouped by verdict. There is no single word on
 * purpose, since one slow top mark need not fail an old shutter, and a word would hide which mark it was.
 * Empty groups are left out; every mark given appears in exactly one group.
 */
export function jobVerdict(marks: readonly JudgedMark[]): readonly VerdictGroup[] {
  return ORDER.flatMap((verdict) => {
    const members = marks.filter((mark) => mark.verdict === verdict);
    if (members.length === 0) return [];
    const list = members.map(named).join(', ');
    return [{ verdict, marks: members, sentence: `${verdictHeading(verdict)}: ${list}.` }];
  });
}

function named({ label, verdict, statistics, least, firingsNeeded = null }: JudgedMark): string {
  switch (verdict) {
    case 'slow':
    case 'fast':
    case 'too few':
      return `${label} (${verdictWords(verdict, statistics, least)})`;
    // The heading says the rest.
    case 'conditional slow':
      return `${label} (${verdictWords('slow', statistics, least)})`;
    case 'conditional fast':
      return `${label} (${verdictWords('fast', statistics, least)})`;
    case 'undecided':
      return `${label} (${moreFirings(firingsNeeded)})`;
    default:
      return label;
  }
}
