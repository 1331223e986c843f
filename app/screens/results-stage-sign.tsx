import type { StageId } from '../record/job.ts';

/** The mark that a stage has in every chart: an open ring as found, a filled square as left. */
export function StageSign({ stage }: { stage: StageId }) {
  return (
    <svg class="stage-sign" viewBox="0 0 12 12" aria-hidden="true" focusable="false">
      {stage === 'as found' ? (
        <circle cx="6" cy="6" r="4" fill="none" stroke="var(--orange)" stroke-width="2.5" />
      ) : (
        <rect x="1.5" y="1.5" width="9" height="9" fill="var(--blue)" />
      )}
    </svg>
  );
}
