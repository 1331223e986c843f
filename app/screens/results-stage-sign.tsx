import type { StageId } from '../record/job.ts';
import { STAGE_COLOURS } from './chart-drawing.tsx';

/** The mark that a stage has in every chart: ring, triangle, diamond, square. */
export function StageSign({ stage }: { stage: StageId }) {
  const colour = STAGE_COLOURS[stage];
  return (
    <svg class="stage-sign" viewBox="0 0 12 12" aria-hidden="true" focusable="false">
      {stage === 'as found' && <circle cx="6" cy="6" r="4" fill="none" stroke={colour} stroke-width="2.5" />}
      {stage === 'trials' && <path d="M6 1L11 10.5H1z" fill={colour} />}
      {stage === 'after rest' && <path d="M6 0.5L11.5 6L6 11.5L0.5 6z" fill={colour} />}
      {stage === 'as left' && <rect x="1.5" y="1.5" width="9" height="9" fill={colour} />}
    </svg>
  );
}
