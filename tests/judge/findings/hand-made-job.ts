/** A stage of a job from errors written down mark by mark. */

import type { FindingCode, FindingMark, FindingReading } from '../../../app/judge/finding.ts';
import { findingsOf } from '../../../app/judge/findings/findings.ts';
import { timeOfLabel } from '../../../app/judge/series.ts';
import type { ShutterProfile } from '../../../app/judge/set-up.ts';
import { NO_FIGURES } from '../../../app/measure/figures.ts';
import { seconds } from '../../../firmware-protocol/units.ts';

export type Shot = Partial<Omit<FindingReading, 'figures'>> & {
  /** Error in stops. */
  readonly error: number;
  readonly figures?: Partial<FindingReading['figures']>;
};

export interface Mark {
  readonly label: string;
  readonly outcome?: FindingMark['outcome'];
  readonly shots: readonly (number | Shot)[];
}

const NO_PROFILE: ShutterProfile = { governed: [], pallet: [], booster: [], fromCentre: true };

/** Ids are label and number of the shot, ordinals count through. */
export function findings(marks: readonly Mark[], profile: Partial<ShutterProfile> = {}, firstOrdinal = 1) {
  let ordinal = firstOrdinal;
  const made = marks.map(({ label, outcome = null, shots }): FindingMark => {
    const reference = timeOfLabel(label);
    const readings = shots.map((shot, n): FindingReading => {
      const { error, figures = {}, ...rest } = typeof shot === 'number' ? { error: shot } : shot;
      const time = seconds((reference ?? 1) * 2 ** error);
      return {
        id: `${label} #${n + 1}`,
        ordinal: ordinal++,
        time,
        counted: true,
        afterRest: false,
        rest: 8,
        mounting: 'bare',
        ...rest,
        figures: { ...NO_FIGURES, effective: time, ...figures },
      };
    });
    return { label, reference, outcome, readings };
  });
  return findingsOf({ profile: { ...NO_PROFILE, ...profile }, marks: made });
}

export const found = (code: FindingCode, ...of: Parameters<typeof findings>) =>
  findings(...of).find((finding) => finding.code === code);

/** Four firings about an error that scatter by less than 0.01 stop. */
export const near = (error: number) => [error, error + 0.01, error - 0.01, error];
export const mark = (label: string, error: number): Mark => ({ label, shots: near(error) });
export const ids = (label: string, count: number) =>
  Array.from({ length: count }, (_, n) => `${label} #${n + 1}`);
