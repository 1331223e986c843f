import type { SpeedStatistics, Verdict } from './verdict.ts';
import { moreFirings, sizeInStops, verdictHeading, verdictWords } from './verdict-words.ts';

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
    return [{ verdict, marks: members, sentence: `${verdictHeading(verdict)}: ${listed(members)}.` }];
  });
}

/** What holds for each of many marks alike is said once: '1/30, 1/60 (2 of 5 firings each)'. */
function listed(members: readonly JudgedMark[]): string {
  const details = members.map(detail);
  const [first] = details;
  if (members.length > 1 && first !== '' && details.every((one) => one === first))
    return `${members.map(({ label }) => label).join(', ')} (${first} each)`;
  return members.map(({ label }, i) => (details[i] === '' ? label : `${label} (${details[i]})`)).join(', ');
}

/** What the heading leaves open; empty if nothing. */
function detail({ verdict, statistics, least, firingsNeeded = null }: JudgedMark): string {
  switch (verdict) {
    case 'slow':
    case 'fast':
    case 'conditional slow':
    case 'conditional fast':
      return statistics.meanError === null ? '' : sizeInStops(statistics.meanError);
    case 'too few':
      return verdictWords(verdict, statistics, least);
    case 'undecided':
      return moreFirings(firingsNeeded);
    default:
      return '';
  }
}
