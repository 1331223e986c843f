import { judgedTime, whyNotCounted } from '../judge/counted-readings.ts';
import type { Finding, FindingReading } from '../judge/finding.ts';
import { findingsOf } from '../judge/findings/findings.ts';
import type { ShutterProfile } from '../judge/set-up.ts';
import type { CertifiedFiring } from './certificate.ts';
import type { StageResult } from './stage-results.ts';

/**
 * What the readings of a stage suggest. Apart from the results, since it costs more than all of them. Firings that
 * the user has set aside are no evidence, whatever they show.
 */
export function stageFindings(profile: ShutterProfile, { marks, firings }: StageResult): readonly Finding[] {
  const taken = firings.filter(({ setAside }) => setAside === null);
  return findingsOf({
    profile,
    marks: marks.map(({ speed, reference, outcome }) => ({
      label: speed.label,
      reference,
      outcome,
      readings: taken.filter((firing) => firing.mark === speed.label).map(findingReading),
    })),
  });
}

const findingReading = (firing: CertifiedFiring): FindingReading => ({
  id: firing.id,
  ordinal: firing.ordinal,
  time: judgedTime(firing.figures),
  counted: whyNotCounted(firing) === null,
  afterRest: whyNotCounted(firing) === 'after rest',
  rest: firing.rest,
  mounting: firing.assembly.mounting,
  figures: firing.figures,
});
