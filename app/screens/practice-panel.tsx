import type { PracticeState } from '../practice/practice-state.ts';
import {
  freeBlades,
  practiceConditions,
  practiceMarks,
  practiceSyncSettings,
  pressRelease,
  setPracticeCondition,
  setPracticeDial,
  setPracticeSync,
  turnGovernor,
} from './actions/practice.ts';

/** Stands in for the camera in the hands: dial, release, governor, and what ails the shutter. */
export function PracticePanel({ practice }: { practice: PracticeState }) {
  const turns = practice.governorQuarterTurns;
  return (
    <section class="card practice" aria-label="Practice shutter">
      <h2>
        Practice shutter <span class="invented">invented readings</span>
      </h2>
      <div class="row">
        <label>
          its dial <kbd>[</kbd> <kbd>]</kbd>
          <select
            value={practice.dial}
            onChange={(e) => setPracticeDial(e.currentTarget.value)}
            data-control="dial"
          >
            {practiceMarks.map((mark) => (
              <option key={mark} value={mark}>
                {mark}
              </option>
            ))}
          </select>
        </label>
        <label>
          condition
          <select
            value={practice.condition}
            onChange={(e) => setPracticeCondition(e.currentTarget.value as PracticeState['condition'])}
            data-control="condition"
          >
            {practiceConditions.map((condition) => (
              <option key={condition} value={condition}>
                {condition}
              </option>
            ))}
          </select>
        </label>
        <label>
          lever
          <select
            value={practice.sync}
            onChange={(e) => setPracticeSync(e.currentTarget.value as PracticeState['sync'])}
            data-control="sync"
          >
            {practiceSyncSettings.map((setting) => (
              <option key={setting}>{setting}</option>
            ))}
          </select>
        </label>
      </div>
      <div class="row">
        <button
          type="button"
          class="fire"
          onClick={pressRelease}
          disabled={practice.blades !== 'at rest'}
          data-control="fire"
        >
          Fire <kbd>Space</kbd>
        </button>
        <button type="button" onClick={() => turnGovernor(-1)} title="Less engagement: faster">
          Governor out <kbd>,</kbd>
        </button>
        <button type="button" onClick={() => turnGovernor(1)} title="More engagement: slower">
          in <kbd>.</kbd>
        </button>
        {practice.blades === 'stuck open' && (
          <button type="button" onClick={freeBlades}>
            Free the blades
          </button>
        )}
        <span class="quiet" data-figure="governor">
          {turns === 0 ? 'governor as assembled' : `${Math.abs(turns) / 4} turn ${turns > 0 ? 'in' : 'out'}`}
        </span>
      </div>
      {practice.note && <p class="quiet">{practice.note}</p>}
    </section>
  );
}
