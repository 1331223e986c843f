/** What the page kept, held against what the shutter really did. */
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { KeptReading } from './kept-readings.ts';

export interface Fired {
  /** Date.now() before the release was ordered: first light comes at least 15 ms later. */
  readonly orderedAt: number;
  readonly truth: TrueFiring;
}

export type Finding =
  | 'true'
  | 'false'
  /** Kept, shown as spoilt, never counted. */
  | 'spoilt'
  /** Kept without a time: it never closed, or began before the record. */
  | 'no time';

export interface Found {
  readonly reading: KeptReading;
  readonly finding: Finding;
  /** Why it is false; else empty. */
  readonly reason: string;
}

/** What the whole chain keeps for known light (tests/whole/truth.test.ts): 5 µs and 0.2 ‰ of the time. */
const LEAST = 5e-6;
const SHARE = 2e-4;
/** Standard uncertainties of the open level, as stated with the reading: of some thousand readings none lies further out. */
const LEVEL_UNCERTAINTIES = 5;

/** How far a reading may lie from the truth, in seconds. */
function tolerance({ levels }: Pick<KeptReading, 'levels'>, truth: number): number {
  const level = levels ? levels.openUncertainty / (levels.open - levels.dark) : 0;
  return LEAST + (SHARE + LEVEL_UNCERTAINTIES * level) * truth;
}

/**
 * Each reading belongs to the latest firing that was ordered before its light was seen. A reading without a firing,
 * at another mark, of a firing that has been read already, or too far from the truth is false.
 */
export function holdAgainstTruth(fired: readonly Fired[], kept: readonly KeptReading[]): Found[] {
  const taken = new Set<Fired>();
  return kept
    .toSorted((a, b) => a.at - b.at)
    .map((reading) => {
      if (reading.spoilt !== null) return { reading, finding: 'spoilt', reason: '' };
      if (reading.effective === null || reading.truncated !== 'no')
        return { reading, finding: 'no time', reason: '' };
      const own = fired.findLast(({ orderedAt }) => orderedAt <= reading.at);
      const reason = !own
        ? 'nothing had been fired'
        : taken.has(own)
          ? 'its firing has been read already'
          : objection(reading, own.truth);
      if (own) taken.add(own);
      return { reading, finding: reason === '' ? 'true' : 'false', reason };
    });
}

function objection(reading: KeptReading, truth: TrueFiring): string {
  if (truth.mark !== reading.mark) return `the dial stood at ${truth.mark}`;
  // The clock correction is taken out again: the emulated shutter and its board go by the same clock.
  const read = reading.effective! * (1 + reading.ppm * 1e-6);
  const { stroke } = truth.plan;
  // Nobody can know how far the blades should have opened: a time against the peak, or against a plateau of its own,
  // is that of the opening as it was; with a reference level it is that of the full opening.
  const against = reading.levels?.openOrigin === 'reference' ? [1] : [1, stroke];
  const exact = against.map((share) => truth.effectiveTime / share);
  if (exact.some((time) => Math.abs(read - time) <= tolerance(reading, time))) return '';
  // Said on screen beside the time: without an open level it is too long.
  if (reading.remarks.includes('no open level') && read > truth.effectiveTime) return '';
  return `it read ${milliseconds(read)}, the truth is ${exact.map(milliseconds).join(' or ')} (${truth.condition}, ${reading.levels?.openOrigin})`;
}

const milliseconds = (seconds: number) => `${(1e3 * seconds).toFixed(4)} ms`;
