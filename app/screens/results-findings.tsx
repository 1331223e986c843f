import { useMemo } from 'preact/hooks';
import type { CertifiedFiring } from '../certificate/certificate.ts';
import { stageFindings } from '../certificate/stage-findings.ts';
import type { StageResult } from '../certificate/stage-results.ts';
import { DASH } from '../certificate/stops-text.ts';
import type { Finding } from '../judge/finding.ts';
import { FINDING_THRESHOLDS } from '../judge/findings/thresholds.ts';
import type { ShutterProfile } from '../judge/set-up.ts';
import { StageSign } from './results-stage-sign.tsx';

interface Props {
  readonly profile: ShutterProfile;
  readonly result: StageResult;
  /** Shows a firing below, with its mark. */
  readonly show: (firing: CertifiedFiring) => void;
}

/** What the readings of a stage suggest, with what led to it. */
export function Findings({ profile, result, show }: Props) {
  const { stage, firings } = result;
  const findings = useMemo(() => stageFindings(profile, result), [profile, result]);
  const byId = new Map(firings.map((firing) => [firing.id, firing]));
  return (
    <section class="card findings" aria-label={`Findings, ${stage}`} data-findings={findings.length}>
      <h2>
        Findings <StageSign stage={stage} /> {stage}
      </h2>
      {findings.length === 0 ? (
        <>
          <p class="seen">Nothing stands out.</p>
          <p>Looked for signs of: {Object.keys(FINDING_THRESHOLDS).join(', ')}.</p>
        </>
      ) : (
        <ul>
          {findings.map((finding) => (
            <li key={`${finding.code} ${finding.marks.join(' ')}`} data-finding={finding.code}>
              <p class="seen">{finding.seen}</p>
              <p>{finding.suggests}</p>
              <p class="quiet">
                {evidenceWords(finding)}
                {finding.readings.length > 0 &&
                  ` It rests on ${finding.readings.length === 1 ? 'firing' : 'firings'} `}
                {finding.readings.map((id) => {
                  const firing = byId.get(id);
                  return firing ? (
                    <button
                      type="button"
                      class="small"
                      key={id}
                      onClick={() => show(firing)}
                      title={`at ${firing.mark}`}
                    >
                      {firing.ordinal}
                    </button>
                  ) : null;
                })}
              </p>
            </li>
          ))}
        </ul>
      )}
      <LookedFor />
      <p class="quiet">
        A finding suggests where to look first and proves nothing: inspect and clean before anything is
        adjusted. That nothing stands out does not show that the shutter is sound.
      </p>
    </section>
  );
}

/** Size and significance, each with what it is held against. */
function evidenceWords({ effect, threshold, significance, method }: Finding): string {
  const chance =
    significance === null
      ? `Seen directly: ${method}.`
      : `A sound shutter would show this with a probability of ${probabilityText(significance)} (${method}).`;
  return `Size ${effect}; it counts from ${threshold}. ${chance}`;
}

const probabilityText = (p: number): string =>
  p < 0.0001 ? 'under 0.0001' : p.toFixed(p < 0.001 ? 4 : p < 0.1 ? 3 : 2);

/** What was looked for, from what size on and with how much data: a finding that can't show yet is not excluded. */
function LookedFor() {
  return (
    <details>
      <summary>What is looked for, from what size on, and the least data it takes</summary>
      <div class="scrolls">
        <table data-table="looked for">
          <thead>
            <tr>
              <th scope="col">sign of</th>
              <th scope="col" class="left">
                what is measured
              </th>
              <th scope="col">counts from</th>
              <th scope="col">by chance at most</th>
              <th scope="col" class="left">
                least data
              </th>
            </tr>
          </thead>
          <tbody>
            {Object.entries(FINDING_THRESHOLDS).map(
              ([code, { effect, practical, unit, significance, least }]) => (
                <tr key={code}>
                  <td>{code}</td>
                  <td class="left words">{effect}</td>
                  <td>
                    {practical} {unit}
                  </td>
                  <td>{significance ?? DASH}</td>
                  <td class="left words">{least}</td>
                </tr>
              ),
            )}
          </tbody>
        </table>
      </div>
    </details>
  );
}
