/**
 * Which pattern across the marks explains their errors best. Each candidate has one size: so many stops at its
 * marks, or so many milliseconds. What a sound shutter's cams are off by is a random effect, and candidates are
 * compared by the weighted squares they leave over, so that a pattern is named only where it explains more than
 * its rivals: one bad mark is no pallet, and a shutter slow at every mark is no governor.
 */
import type { FindingCode } from '../finding.ts';
import type { MeasuredMark } from './measured-marks.ts';
import { amongTrials, bothTails, combinedVariance } from './student-test.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';

export type PatternCode = Extract<
  FindingCode,
  'governor engagement' | 'escapement' | 'pallet' | 'blade drag' | 'all marks off' | 'one mark off'
>;

export interface Pattern {
  readonly code: PatternCode;
  /** The marks that share the effect. */
  readonly marks: readonly MeasuredMark[];
  /** Whether they are off by the same time, else by the same ratio. */
  readonly sameTime: boolean;
}

interface Fit extends Pattern {
  /** Seconds where `sameTime`, else stops; positive is slow. */
  readonly size: number;
}

export interface FittedPattern extends Fit {
  readonly significance: number;
}

/** Of the marks' means, in stops, with what other patterns explain taken off. */
type Errors = ReadonlyMap<MeasuredMark, number>;

/** A shutter rarely has more faults of this kind than this at once, and nothing is named on scraps. */
const MOST_PATTERNS = 3;
/**
 * Any mark may be the one that is off: with so many ways to fit, one of them fits well by chance. Its squares
 * are raised by this much per natural logarithm of their number.
 */
const PENALTY_OF_CHOICE = 1;
/** Marks can't lose more than this share of the fastest one's time and still be off by the same time. */
const LARGEST_LOSS = 0.9;
const ROUNDS = 8;

/** The best pattern, then the best of what is left, as long as they are significant; sizes fitted together. */
export function bestPatterns(marks: readonly MeasuredMark[]): FittedPattern[] {
  const candidates = candidatePatterns(marks);
  const judged = (fit: Fit): FittedPattern => ({
    ...fit,
    significance: significanceOf(fit, candidates.length),
  });
  let chosen: readonly Fit[] = [];
  while (chosen.length < MOST_PATTERNS) {
    const left = candidates.filter((candidate) => !chosen.some((one) => samePattern(one, candidate)));
    const best = bestOf(left, marks, errorsWithout(marks, chosen));
    if (best === null) break;
    if (judged(best).significance > FINDING_THRESHOLDS[best.code].significance!) break;
    chosen = refitted([...chosen, best], marks);
  }
  return chosen.map(judged);
}

function candidatePatterns(marks: readonly MeasuredMark[]): Pattern[] {
  const governed = marks.filter((mark) => mark.governed);
  const ungoverned = marks.filter((mark) => !mark.governed);
  const pallet = marks.filter((mark) => mark.pallet);
  const least = (code: PatternCode) => FINDING_THRESHOLDS[code].marks;
  const candidates: Pattern[] = [];
  const add = (code: PatternCode, members: readonly MeasuredMark[], sameTime = false) =>
    candidates.push({ code, marks: members, sameTime });
  if (marks.length < least('all marks off')) return candidates;
  add('all marks off', marks);
  // Blades that drag take longer over their stroke at every mark; only fast marks feel it.
  add('blade drag', marks, true);
  // Without a mark that the governor leaves alone, its fault can't be told from one of all marks.
  if (ungoverned.length >= 1) {
    if (governed.length >= least('governor engagement')) add('governor engagement', governed, true);
    if (governed.length >= least('escapement')) add('escapement', governed);
  }
  if (pallet.length >= least('pallet') && marks.length - pallet.length >= 2) add('pallet', pallet);
  for (const mark of marks) add('one mark off', [mark]);
  return candidates;
}

function bestOf(candidates: readonly Pattern[], marks: readonly MeasuredMark[], errors: Errors): Fit | null {
  let best: Fit | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of candidates) {
    const fit = fittedTo(errors, candidate);
    const choice = candidate.code === 'one mark off' ? PENALTY_OF_CHOICE * Math.log(marks.length) : 0;
    const left = squaresLeft(marks, errors, fit) + choice;
    if (left >= least) continue;
    least = left;
    best = fit;
  }
  return best;
}

/** Each pattern fitted to what the others leave, until they agree. */
function refitted(chosen: readonly Fit[], marks: readonly MeasuredMark[]): readonly Fit[] {
  let patterns = chosen;
  for (let round = 0; chosen.length > 1 && round < ROUNDS; round++) {
    for (const pattern of patterns) {
      const others = patterns.filter((other) => other !== pattern);
      const again = fittedTo(errorsWithout(marks, others), pattern);
      patterns = patterns.map((other) => (other === pattern ? again : other));
    }
  }
  return patterns;
}

const samePattern = (one: Pattern, other: Pattern) =>
  one.code === other.code && (one.code !== 'one mark off' || one.marks[0] === other.marks[0]);

function errorsWithout(marks: readonly MeasuredMark[], patterns: readonly Fit[]): Errors {
  return new Map(
    marks.map((mark) => [mark, mark.meanError - patterns.reduce((sum, one) => sum + stopsOf(one, mark), 0)]),
  );
}

/** What a fitted pattern makes of a mark, in stops. */
export function stopsOf({ sameTime, size, marks }: Fit, mark: MeasuredMark): number {
  if (!marks.includes(mark)) return 0;
  return sameTime ? Math.log2(1 + size / mark.reference) : size;
}

function squaresLeft(marks: readonly MeasuredMark[], errors: Errors, fit: Fit): number {
  return marks.reduce(
    (sum, mark) => sum + (errors.get(mark)! - stopsOf(fit, mark)) ** 2 / mark.ofSound.variance,
    0,
  );
}

/** Weighted least squares; for milliseconds, whose effect in stops is curved, by Gauss–Newton steps. */
function fittedTo(errors: Errors, pattern: Pattern): Fit {
  const { marks, sameTime } = pattern;
  let size = 0;
  for (let step = 0; step < (sameTime ? ROUNDS : 1); step++) {
    let information = 0;
    let pull = 0;
    for (const mark of marks) {
      const slope = slopeOf(pattern, size, mark);
      information += slope ** 2 / mark.ofSound.variance;
      pull += (slope * (errors.get(mark)! - stopsOf({ ...pattern, size }, mark))) / mark.ofSound.variance;
    }
    size += pull / information;
    if (sameTime) size = Math.max(size, -LARGEST_LOSS * fastestReference(marks));
  }
  return { ...pattern, size };
}

/** Stops per unit of size. */
const slopeOf = ({ sameTime }: Pattern, size: number, mark: MeasuredMark) =>
  sameTime ? 1 / ((mark.reference + size) * Math.LN2) : 1;

const fastestReference = (marks: readonly MeasuredMark[]) =>
  marks.reduce((least, { reference }) => Math.min(least, reference), Number.POSITIVE_INFINITY);

/** How likely a size like this one is on a sound shutter, for so many patterns tried. */
function significanceOf(fit: Fit, trials: number): number {
  const terms = fit.marks.map((mark) => ({ ...mark.ofSound, slope: slopeOf(fit, fit.size, mark) }));
  const information = terms.reduce((sum, { slope, variance }) => sum + slope ** 2 / variance, 0);
  const weighted = terms.map((term) => ({ ...term, weight: term.slope / term.variance / information }));
  return amongTrials(bothTails(fit.size, combinedVariance(weighted)), trials);
}
