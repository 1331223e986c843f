import { useRef, useState } from 'preact/hooks';
import { MECHANICAL_STATES, type MechanicalCheck, type MechanicalState } from '../judge/camera-checks.ts';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import {
  added,
  changed,
  countsWords,
  moved,
  nameProblem,
  removed,
  STATE_KEYS,
  stateOfKey,
} from './camera-mechanics-list.ts';
import { MechanicsLists } from './camera-mechanics-lists.tsx';
import { NameForm } from './camera-name-form.tsx';
import { DraftField } from './draft-field.tsx';
import { Glyph, type Sign } from './glyphs.tsx';

type Change = (list: readonly MechanicalCheck[]) => readonly MechanicalCheck[];

const alter = (change: Change, words: string) =>
  changeJob((job) => ({ ...job, mechanics: change(job.mechanics) }), words);

/** What the hands and eyes find: one line a check, a letter a state, the next line comes by itself. */
export function MechanicsSection({ job }: { job: Job }) {
  const { mechanics } = job;
  const [editing, setEditing] = useState(false);
  const body = useRef<HTMLTableSectionElement>(null);

  /** Goes to the state that is chosen in the line so many lines further on. */
  const goTo = (index: number) =>
    body.current?.querySelectorAll('tr')[index]?.querySelector<HTMLInputElement>('input:checked')?.focus();

  return (
    <section class="card" aria-label="Mechanical checks" data-section="mechanics">
      <div class="row heading">
        <h2 data-figure="mechanics">{capital(countsWords(mechanics))}</h2>
        {mechanics.length > 0 && (
          <button
            type="button"
            aria-pressed={editing}
            onClick={() => setEditing(!editing)}
            data-action="edit-mechanics"
          >
            {editing ? 'Done with the list' : 'Edit the list'}
          </button>
        )}
      </div>
      {mechanics.length > 0 && !editing && (
        <p class="keys">
          {MECHANICAL_STATES.map((state) => (
            <span key={state}>
              <kbd>{STATE_KEYS[state].toUpperCase()}</kbd> {state}
            </span>
          ))}
          <span>
            <kbd>↑</kbd> <kbd>↓</kbd> line
          </span>
          <span>
            <kbd>←</kbd> <kbd>→</kbd> state
          </span>
          <span>a letter goes on to the next line</span>
        </p>
      )}
      {mechanics.length > 0 && (
        <table class="mechanics" data-table="mechanics">
          <thead>
            <tr>
              <th scope="col">check</th>
              <th scope="col" class="left">
                {editing ? 'order' : 'state'}
              </th>
              <th scope="col" class="left">
                {editing ? <span class="unseen">remove</span> : 'note'}
              </th>
            </tr>
          </thead>
          <tbody ref={body}>
            {mechanics.map((check, index) =>
              editing ? (
                <EditLine key={check.id} check={check} list={mechanics} index={index} />
              ) : (
                <Line key={check.id} check={check} goTo={(places) => goTo(index + places)} />
              ),
            )}
          </tbody>
        </table>
      )}
      {(editing || mechanics.length === 0) && <NewLine list={mechanics} />}
      {(editing || mechanics.length === 0) && <MechanicsLists mechanics={mechanics} />}
    </section>
  );
}

const signs: Record<MechanicalState, Sign> = {
  good: 'within',
  adjusted: 'well',
  fault: 'unwell',
  'not fitted': 'waiting',
  'not tested': 'waiting',
};

function Line({ check, goTo }: { check: MechanicalCheck; goTo: (places: number) => void }) {
  const { id, name, state, note } = check;
  const set = (to: MechanicalState) => {
    if (to !== state) alter((list) => changed(list, id, { state: to }), `${name}: ${to}`);
  };
  function press(event: KeyboardEvent) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const to = event.key.length === 1 ? stateOfKey(event.key) : null;
    const places = to !== null || event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
    if (places === 0) return;
    event.preventDefault();
    if (event.repeat && to !== null) return;
    if (to !== null) set(to);
    goTo(places);
  }
  return (
    <tr data-check={name} data-state={state}>
      <th scope="row" class={state === 'fault' ? 'beyond' : ''}>
        <Glyph sign={signs[state]} /> {name}
      </th>
      <td class="left">
        <fieldset class="states" aria-label={name} onKeyDown={press}>
          {MECHANICAL_STATES.map((one) => (
            <label key={one}>
              <input
                type="radio"
                name={`state of ${id}`}
                value={one}
                checked={state === one}
                onChange={() => set(one)}
              />
              <span>{one}</span>
            </label>
          ))}
        </fieldset>
      </td>
      <td class="left">
        <DraftField
          aria-label={`note on ${name}`}
          maxLength={300}
          value={note}
          commit={(text) =>
            text !== note && alter((list) => changed(list, id, { note: text }), `note on ${name}`)
          }
        />
      </td>
    </tr>
  );
}

interface EditProps {
  readonly check: MechanicalCheck;
  readonly list: readonly MechanicalCheck[];
  readonly index: number;
}

function EditLine({ check: { id, name }, list, index }: EditProps) {
  const [problem, setProblem] = useState('');
  const rename = (text: string) => {
    if (text === name) return setProblem('');
    const wrong = nameProblem(list, text, id);
    setProblem(wrong);
    if (wrong === '')
      alter((all) => changed(all, id, { name: text.trim() }), `${name} renamed to ${text.trim()}`);
  };
  return (
    <tr data-check={name}>
      <td>
        <DraftField aria-label={`name of ${name}`} maxLength={80} value={name} commit={rename} />
        {problem && <p class="trouble">{problem}</p>}
      </td>
      <td class="left">
        <button
          type="button"
          class="small"
          disabled={index === 0}
          aria-label={`${name} one place up`}
          onClick={() => alter((all) => moved(all, id, -1), `${name} moved up`)}
        >
          ↑
        </button>{' '}
        <button
          type="button"
          class="small"
          disabled={index === list.length - 1}
          aria-label={`${name} one place down`}
          onClick={() => alter((all) => moved(all, id, 1), `${name} moved down`)}
        >
          ↓
        </button>
      </td>
      <td class="left">
        <button
          type="button"
          class="small"
          aria-label={`Remove ${name}`}
          onClick={() => alter((all) => removed(all, id), `${name} removed`)}
        >
          Remove
        </button>
      </td>
    </tr>
  );
}

function NewLine({ list }: { list: readonly MechanicalCheck[] }) {
  const take = (name: string) => {
    const wrong = nameProblem(list, name);
    if (wrong === '') alter((all) => added(all, crypto.randomUUID(), name), `${name} added`);
    return wrong;
  };
  return (
    <NameForm
      label="new check"
      button="Add it"
      maxLength={80}
      field="new-check"
      action="add-check"
      take={take}
    />
  );
}

const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
