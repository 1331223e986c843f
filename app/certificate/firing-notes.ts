/** Deviations: firings that were not counted, and remarks on those that were. */

import { afterRest, judgedTime, type NotCounted, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops } from '../judge/error-in-stops.ts';
import { markText } from '../judge/findings/wording.ts';
import { OUTLIER_LEVEL } from '../judge/suspected-outlier.ts';
import { signedStops } from '../judge/verdict-words.ts';
import type { RemarkCode } from '../measure/figures.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import type { CertifiedFiring } from './certificate.ts';
import { countedFirings, type StageResult } from './stage-results.ts';

/** Remarks that touch a figure on the certificate; those on the shape of the light curve don't. */
const REMARK_WORDS: Partial<Readonly<Record<RemarkCode, string>>> = {
  'weak light': 'weak light, so that single times are less certain',
  'low peak': 'less light than the fully open shutter gives, the blades may not have opened fully',
  'light changed': 'the light differed from the reference by more than 1 %',
  'short dark': 'little darkness before the firing to take the dark level from',
  'flicker 100 Hz': 'the light flickered at 100 Hz',
  'flicker 120 Hz': 'the light flickered at 120 Hz',
  'light drifts': 'the light changed while the shutter stood open',
  rebound: 'light after closing (blade rebound), left out of the times',
  'glow after closing': 'light that stayed on after closing (a blade not shut), left out of the times',
  'open time only': 'open time from a comparator, no light curve',
};

const INVALID_WORDS: Partial<Readonly<Record<RemarkCode, string>>> = {
  saturated: 'light beyond the range of the converter',
  'no open level': 'never fully open and no reference level',
  'truncated start': 'light before the record began',
  'truncated end': 'light when the record ended',
  'never closed': 'never closed',
  'light changed': 'brighter than the open level it was read against',
};

/** What is said of a counted firing, each a group of its own on the certificate. */
const REMARKS: readonly { readonly words: string; readonly of: (firing: CertifiedFiring) => boolean }[] = [
  ...(['slow firing', 'light check'] as const).map((origin) => ({
    words: `open level taken from a ${origin === 'slow firing' ? 'slower firing' : origin}, since the blades did not stand fully open long enough`,
    of: (firing: CertifiedFiring) =>
      hasRemark(firing, 'reference level used') && (firing.reference?.origin ?? 'slow firing') === origin,
  })),
  ...Object.entries(REMARK_WORDS).map(([code, words]) => ({
    words,
    of: (firing: CertifiedFiring) => hasRemark(firing, code as RemarkCode),
  })),
  {
    words: 'first after a rest, but counted, since the shutter was exercised before',
    of: (firing) => afterRest({ ...firing, exercised: false }),
  },
];

const hasRemark = (firing: CertifiedFiring, code: RemarkCode) =>
  firing.figures.remarks.some((remark) => remark.code === code);

/** One sentence for each stage and remark: 'As left: light after closing …: 1/250 (2 of 5).' */
export function remarkSentences(result: StageResult): readonly string[] {
  const counted = countedFirings(result);
  const totals = tally(counted.map((firing) => firing.mark));
  return REMARKS.flatMap(({ words, of }) => {
    const marks = tally(counted.filter(of).map((firing) => firing.mark));
    if (marks.size === 0) return [];
    const list = [...marks].map(([mark, count]) => `${markText(mark)} (${count} of ${totals.get(mark)})`);
    return [`${capitalised(result.stage)}: ${words}: ${list.join(', ')}.`];
  });
}

/** Firings that lie suspiciously far out. They count: whether one is a fault is for the user to say. */
export const suspectSentences = ({ stage, marks }: StageResult): readonly string[] =>
  marks.flatMap(({ speed, statistics: { n, suspect, fastest, slowest } }) => {
    const time = suspect === 'fastest' ? fastest : slowest;
    return suspect === null || time === null
      ? []
      : [
          `${capitalised(stage)}, ${markText(speed.label)}: the ${suspect} of ${n} firings (${timeText(time)}) lies suspiciously far from the others (Grubbs' test, level ${OUTLIER_LEVEL}); it is counted.`,
        ];
  });

/** One sentence for each mark and reason, with the running numbers of the firings; for the reasons asked for. */
export function notCountedSentences(
  result: StageResult,
  asked: (reason: NotCounted) => boolean = () => true,
): readonly string[] {
  const groups = new Map<string, { mark: string; reason: string; ordinals: number[] }>();
  for (const firing of result.firings) {
    const why = whyNotCounted(firing);
    if (why === null || !asked(why)) continue;
    const reason = `${reasonWords(firing, why)}${why === 'after rest' ? timeWords(firing, result) : ''}`;
    const key = JSON.stringify([firing.mark, reason]);
    const group = groups.get(key) ?? { mark: firing.mark, reason, ordinals: [] };
    group.ordinals.push(firing.ordinal);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ mark, reason, ordinals }) => {
    const numbers = `${ordinals.length === 1 ? 'firing' : 'firings'} ${ordinals.join(', ')}`;
    return `${capitalised(result.stage)}, ${markText(mark)}, ${numbers}: ${reason}.`;
  });
}

function reasonWords(firing: CertifiedFiring, why: NotCounted): string {
  switch (why) {
    case 'spoilt':
      return `spoilt (${firing.firing.spoilt})`;
    case 'set aside':
      return `set aside (${firing.setAside?.trim() || 'no reason given'})`;
    case 'no time':
      return 'no time could be read';
    case 'after rest':
      return `first after a rest of ${restWords(firing.rest ?? 0)}, kept apart from the mean`;
    case 'time not valid': {
      const causes = firing.figures.remarks.flatMap(({ code }) => INVALID_WORDS[code] ?? []);
      return `time not valid (${causes.join('; ')})`;
    }
  }
}

const restWords = (seconds: number): string =>
  seconds < 5400 ? `${Math.round(seconds / 60)} min` : `${(seconds / 3600).toFixed(1)} h`;

/** A firing that is kept apart is shown. */
function timeWords({ figures, mark }: CertifiedFiring, { marks }: StageResult): string {
  const time = judgedTime(figures);
  const reference = marks.find(({ speed }) => speed.label === mark)?.reference ?? null;
  if (time === null) return '';
  const error = reference === null ? '' : `, ${signedStops(errorInStops(time, reference))} EV`;
  return `: ${timeText(time)}${error}`;
}

/** Firings that the user filed under another mark afterwards. */
export function movedSentences(result: StageResult): readonly string[] {
  return result.firings
    .filter((firing) => firing.movedFrom.length > 0)
    .map(
      ({ ordinal, movedFrom, mark }) =>
        `${capitalised(result.stage)}, firing ${ordinal}: filed under ${movedFrom.map(markText).join(', then ')} first, moved to ${markText(mark)}.`,
    );
}

export const capitalised = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function tally(marks: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const mark of marks) counts.set(mark, (counts.get(mark) ?? 0) + 1);
  return counts;
}
