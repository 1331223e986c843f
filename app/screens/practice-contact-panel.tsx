import type { PracticeState } from '../practice/practice-state.ts';
import {
  practiceConditions,
  practiceLeads,
  practiceMarks,
  practiceSyncSettings,
  pressRelease,
  setPracticeCondition,
  setPracticeDial,
  setPracticeLead,
  setPracticeSync,
  startPracticeSelfTimer,
  touchPracticeContact,
} from './actions/practice.ts';

/** Lever, lead and contact of the practice shutter, with its self-timer: to try the camera's checks on. */
export function PracticeContactPanel({ practice }: { practice: PracticeState }) {
  const resting = practice.blades === 'at rest' && !practice.selfTimerRuns;
  return (
    <section class="card practice at-hand" aria-label="Practice contact">
      <h2>
        Practice shutter and contact <span class="invented">invented readings</span>
      </h2>
      <div class="row acts">
        <Choice
          name="its dial"
          control="dial"
          value={practice.dial}
          choices={practiceMarks}
          choose={setPracticeDial}
        />
        <Choice
          name="its lever"
          control="sync"
          value={practice.sync}
          choices={practiceSyncSettings}
          choose={setPracticeSync}
        />
        <Choice
          name="condition"
          control="condition"
          value={practice.condition}
          choices={practiceConditions}
          choose={setPracticeCondition}
        />
        <LeadControls practice={practice} />
        <button type="button" class="fire" disabled={!resting} onClick={pressRelease} data-control="fire">
          Fire at {practice.dial}
        </button>
        <button
          type="button"
          disabled={!resting}
          onClick={startPracticeSelfTimer}
          data-control="start-self-timer"
        >
          {practice.selfTimerRuns ? 'Self-timer runs …' : 'Release with the self-timer'}
        </button>
        <TouchButton />
      </div>
      {practice.note && <p class="quiet">{practice.note}</p>}
    </section>
  );
}

/** State of the lead between contact and board. */
export function LeadControls({ practice }: { practice: PracticeState }) {
  return (
    <Choice
      name="contact lead"
      control="lead"
      value={practice.lead}
      choices={practiceLeads}
      choose={setPracticeLead}
    />
  );
}

export const TouchButton = () => (
  <button type="button" onClick={touchPracticeContact} data-control="touch">
    Touch the contact
  </button>
);

interface ChoiceProps<Value extends string> {
  readonly name: string;
  readonly control: string;
  readonly value: Value;
  readonly choices: readonly Value[];
  readonly choose: (value: Value) => void;
}

function Choice<Value extends string>({ name, control, value, choices, choose }: ChoiceProps<Value>) {
  return (
    <label>
      {name}
      <select value={value} onChange={(e) => choose(e.currentTarget.value as Value)} data-control={control}>
        {choices.map((one) => (
          <option key={one}>{one}</option>
        ))}
      </select>
    </label>
  );
}
