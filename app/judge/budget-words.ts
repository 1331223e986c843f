/** The uncertainty budget in words, for the table on the screen and on paper. */
import type { Budget, BudgetLine } from './verdict.ts';

const SOURCES: Readonly<Record<BudgetLine['source'], string>> = {
  repeatability: 'Repeatability of the firings',
  'clock tolerance': "Tolerance of the board's clock",
  'clock temperature': "Temperature of the board's clock",
  'clock ageing': "Ageing of the board's clock",
  'clock check': 'Clock check',
  'clock warm-up': "Warming of the board's clock",
  "computer's clock": "The computer's clock",
  'open level': 'Reference open level',
  'lamp drift': 'Drift of the lamp',
  truncation: 'Truncation by the converter',
  linearity: 'Linearity of sensor and amplifier',
  geometry: 'Geometry of light and sensor',
};

export const sourceWords = (source: BudgetLine['source']): string => SOURCES[source];

/** 'normal', '±0.0043 EV, rectangular'. */
export const distributionWords = ({ distribution, halfWidth }: BudgetLine): string =>
  halfWidth === null ? distribution : `±${halfWidth.toFixed(4)} EV, ${distribution}`;

/**
 * Degrees of freedom: '4', '16.7', '∞'. Beyond a thousand they change nothing. Cut and not rounded, as the
 * coverage factor takes them: 3.97 shown as 4.0 would belong to another k.
 */
export function dofWords(dof: number): string {
  if (dof > 1000) return '∞';
  if (Number.isInteger(dof)) return String(dof);
  return (Math.floor(10 * dof + 1e-8) / 10).toFixed(1);
}

const MISSING: Readonly<Record<Budget['notStated'][number], string>> = {
  geometry: 'how much of the opening is lit and seen (often the largest error of all)',
  linearity: 'how straight sensor and amplifier are',
  threshold: 'where on the slopes of the light the comparator switches',
};

/** 'how much of the opening is lit and seen …; how straight sensor and amplifier are'. */
export const missingWords = (notStated: Budget['notStated']): string =>
  notStated.map((what) => MISSING[what]).join('; ');

/** What U does not hold, as one sentence; null when nothing is missing. */
export function notStatedWords(notStated: Budget['notStated']): string | null {
  if (notStated.length === 0) return null;
  return `Not stated, and therefore not in U: ${missingWords(notStated)}.`;
}
