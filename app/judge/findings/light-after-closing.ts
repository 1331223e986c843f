/** Light after closing: a bump (rebound) or light that stays (a blade not closed). Observations, not tests. */
import type { Finding, FindingMark, FindingReading } from '../finding.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';
import { countText, evText, marksText, percentText, thresholdText } from './wording.ts';

/** Seen in fewer of the firings than this, it is an event and no habit. */
const LEAST_SHARE = 1 / 4;

interface Sighting {
  readonly mark: FindingMark;
  readonly reading: FindingReading;
  /** As a share of the open light. */
  readonly height: number;
}

export function lightAfterClosing(marks: readonly FindingMark[]): Finding[] {
  const read = marks.flatMap((mark) =>
    mark.readings
      .filter(({ figures }) => figures.effective !== null)
      .map((reading) => ({ mark, reading, height: 0 })),
  );
  const glows = read.flatMap((one) => {
    const height = glowOf(one.reading);
    return height > 0 ? [{ ...one, height }] : [];
  });
  const rebounds = read.flatMap((one) => {
    const height = (one.reading.figures.rebound?.peak ?? 0) - glowOf(one.reading);
    // What stays on is seen as light that came back, too: a rebound must stand out from it.
    const least = glowOf(one.reading) > 0 ? FINDING_THRESHOLDS['blade rebound'].practical / 100 : 0;
    return height > least ? [{ ...one, height }] : [];
  });
  return [reboundFinding(rebounds, read.length), glowFinding(glows, read.length)].flatMap((one) => one ?? []);
}

const glowOf = ({ figures }: FindingReading): number =>
  figures.remarks.find(({ code }) => code === 'glow after closing')?.value ?? 0;

function habit(code: 'blade rebound' | 'steady glow', seen: readonly Sighting[], read: number) {
  const { firings, practical } = FINDING_THRESHOLDS[code];
  if (seen.length < firings || seen.length < LEAST_SHARE * read) return null;
  const height = seen.reduce((sum, one) => sum + one.height, 0) / seen.length;
  if (100 * height < practical) return null;
  const marks = [...new Set(seen.map(({ mark }) => mark))];
  return { height, marks, count: `${countText(seen.length, 'firing')} of ${read}` };
}

function reboundFinding(seen: readonly Sighting[], read: number): Finding | null {
  const found = habit('blade rebound', seen, read);
  if (found === null) return null;
  return {
    ...common('blade rebound', seen, found),
    seen: `In ${found.count} light came back after closing; at its highest it was ${percentText(found.height)} of the open light in the mean (at ${marksText(found.marks)}).${costText(seen)}`,
    suggests:
      'Suggests that the blades rebound: look for dirt and wear where they come to rest and at whatever holds them there, and clean, before anything is adjusted.',
  };
}

function glowFinding(seen: readonly Sighting[], read: number): Finding | null {
  const found = habit('steady glow', seen, read);
  if (found === null) return null;
  return {
    ...common('steady glow', seen, found),
    seen: `In ${found.count} light stayed on after closing, ${percentText(found.height)} of the open light in the mean (at ${marksText(found.marks)}).`,
    suggests:
      'Suggests a blade that does not shut. Rule out stray light first: shade the set-up and fire again; then look at the blades against a soft light, never through the lens into the lamp, and clean them.',
  };
}

/** What the rebound adds to the exposure where it adds most. */
function costText(seen: readonly Sighting[]): string {
  const cost = seen.map(({ reading }) => {
    const { rebound, effective } = reading.figures;
    return rebound === null || effective === null ? 0 : Math.log2(1 + rebound.effective / effective);
  });
  return ` It adds up to ${evText(Math.max(...cost))} of exposure.`;
}

function common(
  code: 'blade rebound' | 'steady glow',
  seen: readonly Sighting[],
  { height, marks }: { readonly height: number; readonly marks: readonly FindingMark[] },
) {
  return {
    code,
    marks: marks.map(({ label }) => label),
    significance: null,
    effect: percentText(height),
    threshold: thresholdText(code),
    method: FINDING_THRESHOLDS[code].test,
    readings: seen.map(({ reading }) => reading.id),
  };
}
