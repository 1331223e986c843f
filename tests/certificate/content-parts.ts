/** Parts of a certificate as its tests look them up. */

import type { CertificateContent, CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { inventedFigures, inventedFiring, inventedInput } from './invented-job.ts';

export const row = (content: CertificateContent, mark: string) => content.rows.find((r) => r.mark === mark)!;
export const section = (content: CertificateContent, heading: string) =>
  content.sections.find((s) => s.heading === heading)!;

/** What stands as found in a line of the comparison of instruments. */
export function instrumentWords(firings: readonly CertifiedFiring[]) {
  const { comparisons } = certificateContent(inventedInput({ firings }));
  const instrument = comparisons.find(({ heading }) => heading === 'Instrument')!;
  return (label: string) => instrument.rows.find((r) => r.label === label)!.stages['as found'];
}

/** Firings of one mark as found, by their errors in EV. */
export const atErrors = (mark: string, errors: readonly number[], changes: Partial<CertifiedFiring> = {}) => {
  const reference = LEAF_SERIES.speeds.find(({ label }) => label === mark)!.marked!;
  return errors.map((error, i) =>
    inventedFiring('as found', mark, i + 1, inventedFigures(reference * 2 ** error), changes),
  );
};
