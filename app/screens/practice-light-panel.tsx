import type { LightLevels } from '../practice/light.ts';
import type { PracticeState } from '../practice/practice-state.ts';
import {
  holdPracticeOpen,
  letPracticeGo,
  practiceLamps,
  pressRelease,
  setPracticeDial,
  setPracticeIris,
  setPracticeLight,
  setPracticeSeenShare,
} from './actions/practice.ts';
import { LeadControls, TouchButton } from './practice-contact-panel.tsx';

const IRIS_STOPS = [0, 1, 2, 3];
const SHARES = [1, 0.8, 0.5];

/** Lamp, iris and sensor of the practice bench, to try the checks on. */
export function PracticeLightPanel({ practice }: { practice: PracticeState }) {
  const lamp = practiceLamps.find(({ levels }) => same(levels, practice.light));
  return (
    <section class="card practice at-hand" aria-label="Practice light">
      <h2>
        Practice light <span class="invented">invented readings</span>
      </h2>
      <div class="row">
        <label>
          lamp
          <select
            value={lamp?.name ?? ''}
            onChange={(e) => {
              const chosen = practiceLamps.find(({ name }) => name === e.currentTarget.value);
              if (chosen) setPracticeLight(chosen.levels);
            }}
            data-control="lamp"
          >
            {practiceLamps.map(({ name }) => (
              <option key={name}>{name}</option>
            ))}
          </select>
        </label>
        <label>
          iris
          <select
            value={practice.iris}
            onChange={(e) => setPracticeIris(Number(e.currentTarget.value))}
            data-control="iris"
          >
            {IRIS_STOPS.map((k) => (
              <option key={k} value={k}>
                {k === 0 ? 'wide open' : `${k} ${k === 1 ? 'stop' : 'stops'} down`}
              </option>
            ))}
          </select>
        </label>
        <label>
          opening lit and seen
          <select
            value={practice.seenShare}
            onChange={(e) => setPracticeSeenShare(Number(e.currentTarget.value))}
            data-control="seen-share"
          >
            {SHARES.map((share) => (
              <option key={share} value={share}>
                {share === 1 ? 'all of it' : `the central ${100 * share} %`}
              </option>
            ))}
          </select>
        </label>
        <LeadControls practice={practice} />
      </div>
      <div class="row acts">
        <button
          type="button"
          disabled={practice.blades !== 'at rest'}
          onClick={holdPracticeOpen}
          data-control="hold-open"
        >
          Hold the blades open
        </button>
        <button type="button" disabled={practice.blades !== 'held open'} onClick={letPracticeGo}>
          Let go
        </button>
        <button
          type="button"
          class="fire"
          disabled={practice.blades !== 'at rest'}
          onClick={pressRelease}
          data-control="fire"
        >
          Fire at {practice.dial}
        </button>
        <TouchButton />
        {practice.dial !== '1/500' && (
          <button type="button" onClick={() => setPracticeDial('1/500')}>
            Dial to 1/500
          </button>
        )}
      </div>
      {practice.note && <p class="quiet">{practice.note}</p>}
    </section>
  );
}

const same = (a: LightLevels, b: LightLevels): boolean =>
  a.open === b.open &&
  a.noise === b.noise &&
  a.flicker?.hertz === b.flicker?.hertz &&
  (a.driftPerMinute ?? 0) === (b.driftPerMinute ?? 0);
