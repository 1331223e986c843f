import { useState } from 'preact/hooks';
import { stops } from '../../firmware-protocol/units.ts';
import { BAND_PRESETS } from '../judge/bands.ts';
import { readOwnSeries } from '../judge/own-series.ts';
import { BUILT_IN_SERIES } from '../judge/series.ts';
import type { Band, Series } from '../judge/verdict.ts';
import { bandWords, ruleWords } from '../judge/verdict-words.ts';
import { type Assembly, type Job, STAGES, type StageId } from '../record/job.ts';
import { withSeries } from '../record/with-series.ts';
import { setNeverCloses } from './actions/connection.ts';
import { changeJob, createJob, saveWorkshop } from './actions/jobs.ts';
import { loadNeverCloses } from './actions/settings.ts';
import { DraftArea, DraftField } from './draft-field.tsx';
import { changedBand, limitText, MarkFields, numberIn } from './mark-fields.tsx';
import { UndoButton } from './undo-button.tsx';
import { useView } from './view.ts';

/** What came in: whose camera, which camera, what ails it, and what its speeds are judged by. */
export function JobScreen() {
  const job = useView((v) => v.job);
  const workshop = useView((v) => v.workshop);
  const readings = useView((v) => v.readings);
  if (!job)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <button type="button" class="main" onClick={() => void createJob(false)} data-action="new-job">
          New job
        </button>
      </main>
    );
  const camera = (key: keyof Job['camera'], words: string) => (
    <Field
      label={words}
      name={key}
      value={job.camera[key]}
      change={(text) => changeJob((j) => ({ ...j, camera: { ...j.camera, [key]: text } }), words)}
    />
  );
  return (
    <main class="sheet">
      <div class="row heading">
        <h1>
          Job {job.number} {job.invented && <span class="invented">invented</span>}
        </h1>
        <UndoButton />
      </div>
      <div class="columns broad">
        <section class="card fields">
          <h2 class="wide">Customer and camera</h2>
          <Field
            label="customer"
            name="customer"
            value={job.customer.name}
            change={(name) => changeJob((j) => ({ ...j, customer: { ...j.customer, name } }), 'customer')}
          />
          <Field
            label="how to reach them"
            name="contact"
            value={job.customer.contact}
            change={(contact) =>
              changeJob((j) => ({ ...j, customer: { ...j.customer, contact } }), 'contact')
            }
          />
          {camera('description', 'camera')}
          {camera('bodySerial', 'body serial number')}
          {camera('shutter', 'shutter')}
          {camera('shutterSerial', 'shutter serial number')}
          {camera('lens', 'lens')}
          {camera('lensSerial', 'lens serial number')}
          <p class="wide quiet">Leave a serial number empty if there is none.</p>
          <label class="wide">
            complaint
            <DraftArea
              rows={2}
              value={job.complaint}
              commit={(complaint) => changeJob((j) => ({ ...j, complaint }), 'complaint')}
              data-field="complaint"
            />
          </label>
        </section>
        <section class="card fields">
          <h2 class="wide">Speeds and how they are judged</h2>
          <SeriesFields job={job} fired={readings.length > 0} />
          <label class="wide">
            compared with
            <select
              value={job.referenceRule}
              onChange={(e) => {
                const referenceRule = e.currentTarget.value as Job['referenceRule'];
                changeJob((j) => ({ ...j, referenceRule }), 'reference');
              }}
            >
              <option value="marked">the engraved time (1/60 = 16.67 ms)</option>
              <option value="exact">the exact doubling series (1/60 = 1/64 s)</option>
            </select>
          </label>
          <BandFields job={job} />
          <RuleFields job={job} />
          <LeastFields job={job} />
        </section>
        <MarkFields job={job} />
        <AssemblyFields job={job} stage="as found" />
        <AssemblyFields job={job} stage="as left" />
        <section class="card fields">
          <h2 class="wide">Workshop (on every paper)</h2>
          <Field
            label="name"
            name="workshop"
            value={workshop.name}
            change={(name) => void saveWorkshop({ ...workshop, name })}
          />
          <Field
            label="who signs"
            name="signatory"
            value={workshop.signatory}
            change={(signatory) => void saveWorkshop({ ...workshop, signatory })}
          />
          <label class="wide">
            address
            <DraftArea
              rows={3}
              value={workshop.address}
              commit={(address) => void saveWorkshop({ ...workshop, address })}
              data-field="address"
            />
          </label>
          <label class="wide">
            an exposure that has not ended is reported after, s
            <input
              type="number"
              min={2}
              max={3600}
              defaultValue={String(loadNeverCloses())}
              onChange={(e) => {
                if (!setNeverCloses(e.currentTarget.valueAsNumber))
                  e.currentTarget.value = String(loadNeverCloses());
              }}
            />
          </label>
        </section>
      </div>
    </main>
  );
}

interface FieldProps {
  readonly label: string;
  readonly name: string;
  readonly value: string;
  readonly change: (text: string) => void;
}

function Field({ label, name, value, change }: FieldProps) {
  return (
    <label>
      {label}
      <DraftField value={value} commit={change} data-field={name} maxLength={200} />
    </label>
  );
}

function SeriesFields({ job, fired }: { job: Job; fired: boolean }) {
  const [problem, setProblem] = useState('');
  const labels = job.series.speeds.map((s) => s.label).join(' ');
  const choose = (series: Series) => {
    try {
      withSeries(job, series);
    } catch (error) {
      setProblem((error as Error).message);
      return;
    }
    setProblem('');
    changeJob((j) => withSeries(j, series), 'series');
  };
  return (
    <>
      <label>
        series on the speed ring
        <select
          value={BUILT_IN_SERIES.some((s) => s.id === job.series.id) ? job.series.id : 'own'}
          disabled={fired}
          onChange={(e) => {
            const series = BUILT_IN_SERIES.find((s) => s.id === e.currentTarget.value);
            if (series) choose(series);
          }}
        >
          {BUILT_IN_SERIES.map((series) => (
            <option key={series.id} value={series.id}>
              {series.name}
            </option>
          ))}
          <option value="own" disabled>
            own list (write it below)
          </option>
        </select>
      </label>
      <label class="wide">
        marks (edit for a list of your own)
        <DraftField
          value={labels}
          disabled={fired}
          commit={(text) => {
            const own = readOwnSeries(text);
            if (own.ok) choose(own.series);
            else setProblem(own.problems.map((p) => p.sentence).join(' '));
          }}
          data-field="series"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
      {fired && (
        <p class="wide quiet">
          The series is fixed once a firing has been recorded. Make a new job for another.
        </p>
      )}
    </>
  );
}

function BandFields({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  const { bandUnit } = job;
  const preset = BAND_PRESETS.find((p) => p.band.lower === job.band.lower && p.band.upper === job.band.upper);
  const set = (side: keyof Band, text: string) => {
    const changed = changedBand(job.band, side, text, bandUnit);
    setProblem(changed.ok ? '' : changed.problem);
    if (changed.ok) changeJob((j) => ({ ...j, band: changed.band }), 'band');
  };
  return (
    <>
      <label class="wide">
        band
        <select
          value={preset?.id ?? 'own'}
          onChange={(e) => {
            const chosen = BAND_PRESETS.find((p) => p.id === e.currentTarget.value);
            if (chosen) changeJob((j) => ({ ...j, band: chosen.band }), 'band');
          }}
          data-field="band"
        >
          {BAND_PRESETS.map((p) => (
            <option key={p.id} value={p.id}>
              {bandWords(p.band, bandUnit)}: {p.purpose}
            </option>
          ))}
          <option value="own" disabled>
            own limits
          </option>
        </select>
      </label>
      <label>
        limits are written in
        <select
          value={bandUnit}
          onChange={(e) => {
            const unit = e.currentTarget.value as Job['bandUnit'];
            changeJob((j) => ({ ...j, bandUnit: unit }), 'unit of the limits');
          }}
          data-field="band-unit"
        >
          <option value="EV">EV (stops)</option>
          <option value="%">% of the time</option>
        </select>
      </label>
      {(['lower', 'upper'] as const).map((side) => (
        <label key={side}>
          {side} limit, {bandUnit}
          <DraftField
            type="number"
            step={bandUnit === 'EV' ? '0.01' : '1'}
            value={limitText(job.band[side], bandUnit)}
            commit={(text) => set(side, text)}
            data-field={`band-${side}`}
          />
        </label>
      ))}
      <p class="wide quiet">
        {preset ? `Preset: ${preset.origin}.` : 'Own limits.'} A change of band or rule changes verdicts,
        never readings.
      </p>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

/** How the uncertainty of measurement enters a verdict, and what is asked of the spread. */
function RuleFields({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  return (
    <>
      <label class="wide">
        decision rule
        <select
          value={job.decisionRule}
          onChange={(e) => {
            const decisionRule = e.currentTarget.value as Job['decisionRule'];
            changeJob((j) => ({ ...j, decisionRule }), 'decision rule');
          }}
          data-field="decision-rule"
        >
          <option value="simple">simple acceptance</option>
          <option value="guard band">guard band as wide as U</option>
        </select>
      </label>
      <label>
        limit on spread (SD), EV
        <DraftField
          type="number"
          step="0.01"
          min={0}
          placeholder="no limit"
          value={job.spreadLimit === null ? '' : limitText(job.spreadLimit, 'EV')}
          commit={(text) => {
            const none = text.trim() === '';
            const limit = numberIn(text);
            const sound = none || (limit > 0 && limit <= 3);
            setProblem(
              sound ? '' : 'The limit on spread must be above 0 and at most 3 EV, or empty for none.',
            );
            if (sound)
              changeJob((j) => ({ ...j, spreadLimit: none ? null : stops(limit) }), 'limit on spread');
          }}
          data-field="spread-limit"
        />
      </label>
      <p class="wide quiet">{ruleWords(job.decisionRule)}</p>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

function LeastFields({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  return (
    <>
      {STAGES.map((stage) => (
        <label key={stage}>
          least firings {stage}
          <DraftField
            type="number"
            min={1}
            max={50}
            value={String(job.leastFirings[stage])}
            commit={(text) => {
              const least = numberIn(text);
              const sound = Number.isInteger(least) && least >= 1 && least <= 50;
              setProblem(sound ? '' : `Least firings ${stage} must be a whole number from 1 to 50.`);
              if (sound)
                changeJob(
                  (j) => ({ ...j, leastFirings: { ...j.leastFirings, [stage]: least } }),
                  'least firings',
                );
            }}
          />
        </label>
      ))}
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

const choices = {
  mounting: ['not stated', 'bare', 'front plate fastened', 'in the body'],
  cells: ['not stated', 'in', 'out'],
  release: ['not stated', 'by hand', 'cable', 'body'],
  cocking: ['not stated', 'lever', 'film advance'],
} as const;

function AssemblyFields({ job, stage }: { job: Job; stage: StageId }) {
  const { assembly } = job.stages[stage];
  const change = (part: Partial<Assembly>, words: string) =>
    changeJob(
      (j) => ({
        ...j,
        stages: {
          ...j.stages,
          [stage]: { ...j.stages[stage], assembly: { ...j.stages[stage].assembly, ...part } },
        },
      }),
      words,
    );
  return (
    <section class="card fields">
      <h2 class="wide">How it stands {stage}</h2>
      {(Object.keys(choices) as (keyof typeof choices)[]).map((key) => (
        <label key={key}>
          {key === 'mounting' ? 'shutter' : key}
          <select
            value={assembly[key]}
            onChange={(e) => change({ [key]: e.currentTarget.value }, `${key} ${stage}`)}
          >
            {choices[key].map((choice) => (
              <option key={choice} value={choice}>
                {choice}
              </option>
            ))}
          </select>
        </label>
      ))}
      <Field
        label="iris"
        name={`iris-${stage}`}
        value={assembly.iris}
        change={(iris) => change({ iris }, 'iris')}
      />
      <Field
        label="attitude"
        name={`attitude-${stage}`}
        value={assembly.attitude}
        change={(attitude) => change({ attitude }, 'attitude')}
      />
      <label>
        temperature, °C
        <DraftField
          type="number"
          step="0.5"
          min={-20}
          max={60}
          value={assembly.temperature === null ? '' : String(assembly.temperature)}
          commit={(text) => {
            const degrees = Number(text);
            change({ temperature: text !== '' && Number.isFinite(degrees) ? degrees : null }, 'temperature');
          }}
        />
      </label>
    </section>
  );
}
