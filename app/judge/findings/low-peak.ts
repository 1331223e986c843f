import type { Finding, FindingMark } from '../finding.ts';
import { LOW_PEAK } from './thresholds.ts';
import { capital, countText, marksText, percentText } from './wording.ts';

/** Blades that stop short of the open level that a slower firing showed, again and again at a mark. */
export function lowPeak(marks: readonly FindingMark[]): Finding | null {
  const short = marks.flatMap((mark) => {
    const read = mark.readings.filter(({ figures }) => figures.effective !== null);
    const low = read.flatMap(({ id, figures }) => {
      const share = figures.remarks.find(({ code }) => code === 'low peak')?.value;
      return share !== undefined && share < LOW_PEAK.share ? [{ id, share }] : [];
    });
    return low.length >= LOW_PEAK.firings && 2 * low.length >= read.length ? [{ mark, low }] : [];
  });
  if (short.length === 0) return null;
  const low = short.flatMap((one) => one.low);
  const share = low.reduce((sum, one) => sum + one.share, 0) / low.length;
  return {
    code: 'blade drag',
    marks: short.map(({ mark }) => mark.label),
    seen: `${capital(countText(low.length, 'firing'))} at ${marksText(short.map(({ mark }) => mark))} reached only ${percentText(share, 0)} of the open light in the mean.`,
    suggests:
      'Suggests that the blades stop short of full opening: drag from dirt or oil between them, or a distorted blade or ring. Renew the reference with a slow firing first, in case light or sensor were moved; then inspect and clean; the main spring comes last.',
    significance: null,
    effect: percentText(share, 0),
    threshold: percentText(LOW_PEAK.share, 0),
    method: 'observation: highest light against the reference level of a slower firing',
    readings: low.map(({ id }) => id),
  };
}
