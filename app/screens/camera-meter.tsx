import { useMemo, useState } from 'preact/hooks';
import { stops } from '../../firmware-protocol/units.ts';
import { meterResult } from '../judge/exposure-meter.ts';
import { meterCautions } from '../judge/exposure-meter-sentences.ts';
import { CONSTANT_RANGE, USUAL_CONSTANT } from '../judge/exposure-values.ts';
import type { MeterNotation, MeterTest } from '../judge/meter-test.ts';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { newMeterTest, unitOf } from './camera-meter-entry.ts';
import { MeterFindings } from './camera-meter-findings.tsx';
import { MeterTable } from './camera-meter-table.tsx';
import { DraftField } from './draft-field.tsx';
import { numberIn } from './mark-fields.tsx';

const NOTATIONS: readonly MeterNotation[] = ['EV', 'f-number and time', 'needle mark'];
const CELLS: readonly MeterTest['cell'][] = ['not stated', 'selenium', 'CdS', 'silicon'];

const alter = (change: (test: MeterTest) => MeterTest, words: string) =>
  changeJob((job) => ({ ...job, meter: change(job.meter ?? newMeterTest) }), words);

/** The camera's meter against light of known strength, in the notation that the camera uses. */
export function MeterSection({ job }: { job: Job }) {
  const { meter } = job;
  if (meter === null)
    return (
      <section class="card" aria-label="Exposure meter" data-section="meter">
        <p>
          Three readings over three stops at least, against light whose strength is known: another meter that
          can be relied on, a light box, a lamp at steps of distance or filter.
        </p>
        <button
          type="button"
          class="main"
          onClick={() => changeJob((j) => ({ ...j, meter: newMeterTest }), 'test of the meter begun')}
          data-action="begin-meter"
        >
          Begin a test of the meter
        </button>
        <MeterCautions cell="not stated" />
      </section>
    );
  return <MeterOpen meter={meter} />;
}

function MeterOpen({ meter }: { meter: MeterTest }) {
  const result = useMemo(() => meterResult(meter), [meter]);
  return (
    <>
      <MeterFields meter={meter} />
      <div class="columns broad">
        <MeterTable meter={meter} result={result} alter={alter} />
        <MeterFindings meter={meter} result={result} />
      </div>
      <MeterCautions cell={meter.cell} />
    </>
  );
}

function MeterFields({ meter }: { meter: MeterTest }) {
  const [problem, setProblem] = useState('');
  const { kind, value } = meter.constant;
  const range = CONSTANT_RANGE[kind];
  const positive = (text: string, words: string, set: (value: number) => void) => {
    const read = numberIn(text);
    const sound = read > 0 && Number.isFinite(read);
    setProblem(sound ? '' : `${words} must be a number above zero.`);
    if (sound) set(read);
  };
  const optional = (text: string, words: string, set: (value: number | null) => void) => {
    if (text.trim() === '') {
      setProblem('');
      set(null);
    } else positive(text, words, set);
  };
  return (
    <section class="card fields" aria-label="The meter and its light" data-section="meter">
      <label>
        the camera shows
        <select
          value={meter.notation}
          onChange={(e) => {
            const notation = e.currentTarget.value as MeterNotation;
            alter((test) => ({ ...test, notation }), 'notation of the meter');
          }}
          data-field="meter-notation"
        >
          {NOTATIONS.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </label>
      <label>
        film speed set, ISO
        <DraftField
          type="number"
          min={1}
          step="any"
          value={String(meter.iso)}
          commit={(text) =>
            positive(text, 'The film speed', (iso) => alter((test) => ({ ...test, iso }), 'film speed'))
          }
          data-field="meter-iso"
        />
      </label>
      <label>
        the meter measures
        <select
          value={kind}
          onChange={(e) => {
            const to = e.currentTarget.value as 'K' | 'C';
            alter(
              (test) => ({ ...test, constant: { kind: to, value: USUAL_CONSTANT[to] } }),
              'kind of light that the meter measures',
            );
          }}
          data-field="meter-kind"
        >
          <option value="K">light reflected (K)</option>
          <option value="C">light falling in (C)</option>
        </select>
      </label>
      <label>
        constant {kind} ({range.from} to {range.to})
        <DraftField
          type="number"
          min={0}
          step="any"
          value={String(value)}
          commit={(text) =>
            positive(text, 'The constant', (to) =>
              alter((test) => ({ ...test, constant: { kind, value: to } }), `constant ${kind}`),
            )
          }
          data-field="meter-constant"
        />
      </label>
      <label>
        cell
        <select
          value={meter.cell}
          onChange={(e) => {
            const cell = e.currentTarget.value as MeterTest['cell'];
            alter((test) => ({ ...test, cell }), 'cell of the meter');
          }}
          data-field="meter-cell"
        >
          {CELLS.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </label>
      <label>
        battery, V
        <DraftField
          type="number"
          min={0}
          step="any"
          placeholder="none, or not stated"
          value={meter.battery === null ? '' : String(meter.battery)}
          commit={(text) =>
            optional(text, 'The battery’s voltage', (battery) =>
              alter((test) => ({ ...test, battery }), 'battery of the meter'),
            )
          }
          data-field="meter-battery"
        />
      </label>
      <label>
        where the light’s strength is known from
        <DraftField
          maxLength={200}
          placeholder="not stated"
          value={meter.source.words}
          commit={(words) =>
            alter((test) => ({ ...test, source: { ...test.source, words } }), 'source of the light')
          }
          data-field="meter-source"
        />
      </label>
      <label>
        its uncertainty, ± EV (about 95 %)
        <DraftField
          type="number"
          min={0}
          step="any"
          placeholder="not stated"
          value={meter.source.uncertainty === null ? '' : String(meter.source.uncertainty)}
          commit={(text) =>
            optional(text, 'The uncertainty', (to) =>
              alter(
                (test) => ({
                  ...test,
                  source: { ...test.source, uncertainty: to === null ? null : stops(to) },
                }),
                'uncertainty of the light',
              ),
            )
          }
          data-field="meter-uncertainty"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
      {meter.points.length > 0 && meter.constant.kind === 'C' && (
        <p class="wide quiet">
          Strengths of light are in {unitOf('C')}: check those written before as cd/m².
        </p>
      )}
      <div class="wide row acts">
        <button
          type="button"
          class="small"
          onClick={() => changeJob((job) => ({ ...job, meter: null }), 'test of the meter removed')}
          data-action="remove-meter"
        >
          Remove this test
        </button>
      </div>
    </section>
  );
}

const LAMPS =
  'Lamps on mains voltage only as their maker built them, away from water and solvent vapour; hot lamps away from hands and lenses. Work inside them is for a licensed electrician and by your local code.';

function MeterCautions({ cell }: Pick<MeterTest, 'cell'>) {
  // Nobody knows the cell before it is stated: then what holds for either is said.
  const cells = cell === 'not stated' ? (['CdS', 'selenium'] as const) : [cell];
  return (
    <div class="caution">
      {[...cells.flatMap((one) => meterCautions({ cell: one })), LAMPS].map((words) => (
        <p key={words}>{words}</p>
      ))}
    </div>
  );
}
