import { useState } from 'preact/hooks';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { BAND_PRESETS } from '../judge/bands.ts';
import { programmeProblems } from '../judge/programmes.ts';
import { BUILT_IN_SERIES, LEAF_SERIES } from '../judge/series.ts';
import type { Band } from '../judge/verdict.ts';
import { bandWords, ruleWords } from '../judge/verdict-words.ts';
import { STAGES } from '../record/job.ts';
import { MECHANICAL_LISTS } from '../record/mechanical-lists.ts';
import type { Preferences } from '../record/preferences.ts';
import { savePreferences } from './actions/preferences.ts';
import { DraftField } from './draft-field.tsx';
import { changedBand, limitText, numberIn } from './mark-fields.tsx';
import { useView } from './view.ts';

type Defaults = Preferences['defaults'];
type Change = (part: Partial<Defaults>, words: string) => void;

interface Props {
  readonly defaults: Defaults;
  readonly change: Change;
}

/** What a new job starts with. It is copied into the job: jobs that are there stay as they are. */
export function NewJobSettings() {
  const defaults = useView((v) => v.preferences.defaults);
  const change: Change = (part, words) =>
    savePreferences((p) => ({ ...p, defaults: { ...p.defaults, ...part } }), `${words} of new jobs`);
  return (
    <>
      <p class="quiet">
        A new job starts with these and can be changed there. Jobs that are there already stay as they are.
      </p>
      <div class="columns broad">
        <section class="card fields">
          <h2 class="wide">Speeds and how they are judged</h2>
          <SeriesField defaults={defaults} change={change} />
          <BandFields defaults={defaults} change={change} />
          <RuleFields defaults={defaults} change={change} />
        </section>
        <section class="card fields">
          <h2 class="wide">Firings, flash and lists</h2>
          <LeastFields defaults={defaults} change={change} />
          <FlashField defaults={defaults} change={change} />
          <ListFields defaults={defaults} change={change} />
        </section>
      </div>
    </>
  );
}

function SeriesField({ defaults, change }: Props) {
  const own = useView((v) => v.preferences.series);
  const all = [...BUILT_IN_SERIES, ...own];
  return (
    <>
      <label class="wide">
        series on the speed ring
        <select
          value={all.some(({ id }) => id === defaults.seriesId) ? defaults.seriesId : LEAF_SERIES.id}
          onChange={(e) => change({ seriesId: e.currentTarget.value }, 'series')}
          data-field="default-series"
        >
          {all.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <label class="wide">
        compared with
        <select
          value={defaults.referenceRule}
          onChange={(e) =>
            change({ referenceRule: e.currentTarget.value as Defaults['referenceRule'] }, 'reference')
          }
          data-field="default-reference"
        >
          <option value="marked">the engraved time (1/60 = 16.67 ms)</option>
          <option value="exact">the exact doubling series (1/60 = 1/64 s)</option>
        </select>
      </label>
    </>
  );
}

function BandFields({ defaults, change }: Props) {
  const [problem, setProblem] = useState('');
  const { band, bandUnit } = defaults;
  const preset = BAND_PRESETS.find((p) => p.band.lower === band.lower && p.band.upper === band.upper);
  const set = (side: keyof Band, text: string) => {
    const changed = changedBand(band, side, text, bandUnit);
    setProblem(changed.ok ? '' : changed.problem);
    if (changed.ok) change({ band: changed.band }, 'band');
  };
  return (
    <>
      <label class="wide">
        band
        <select
          value={preset?.id ?? 'own'}
          onChange={(e) => {
            const chosen = BAND_PRESETS.find((p) => p.id === e.currentTarget.value);
            if (chosen) change({ band: chosen.band }, 'band');
          }}
          data-field="default-band"
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
          onChange={(e) =>
            change({ bandUnit: e.currentTarget.value as Defaults['bandUnit'] }, 'unit of the limits')
          }
          data-field="default-band-unit"
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
            value={limitText(band[side], bandUnit)}
            commit={(text) => set(side, text)}
            data-field={`default-band-${side}`}
          />
        </label>
      ))}
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

function RuleFields({ defaults, change }: Props) {
  const [problem, setProblem] = useState('');
  return (
    <>
      <label class="wide">
        decision rule
        <select
          value={defaults.decisionRule}
          onChange={(e) =>
            change({ decisionRule: e.currentTarget.value as Defaults['decisionRule'] }, 'decision rule')
          }
          data-field="default-rule"
        >
          <option value="simple">simple acceptance</option>
          <option value="guard band">guard band as wide as U</option>
        </select>
      </label>
      <p class="wide quiet">{ruleWords(defaults.decisionRule)}</p>
      <label>
        limit on spread (SD), EV
        <DraftField
          type="number"
          step="0.01"
          min={0}
          placeholder="no limit"
          value={defaults.spreadLimit === null ? '' : limitText(defaults.spreadLimit, 'EV')}
          commit={(text) => {
            const none = text.trim() === '';
            const limit = numberIn(text);
            const sound = none || (limit > 0 && limit <= 3);
            setProblem(
              sound ? '' : 'The limit on spread must be above 0 and at most 3 EV, or empty for none.',
            );
            if (sound) change({ spreadLimit: none ? null : stops(limit) }, 'limit on spread');
          }}
          data-field="default-spread"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

function LeastFields({ defaults, change }: Props) {
  const [problem, setProblem] = useState('');
  return (
    <>
      {STAGES.map((stage) => (
        <label key={stage}>
          least firings, {stage}
          <DraftField
            type="number"
            min={1}
            max={50}
            value={String(defaults.leastFirings[stage])}
            commit={(text) => {
              const least = numberIn(text);
              const sound = Number.isInteger(least) && least >= 1 && least <= 50;
              setProblem(sound ? '' : `Least firings, ${stage}, must be a whole number from 1 to 50.`);
              if (sound)
                change({ leastFirings: { ...defaults.leastFirings, [stage]: least } }, 'least firings');
            }}
            data-field={`default-least-${stage.replace(' ', '-')}`}
          />
        </label>
      ))}
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

/** Kept in seconds, written in milliseconds. */
const SHORTEST_MS = 0.01;
const LONGEST_MS = 100;

function FlashField({ defaults, change }: Props) {
  const [problem, setProblem] = useState('');
  return (
    <>
      <label class="wide">
        X is judged for a flash that lights for, ms
        <DraftField
          type="number"
          step="0.1"
          min={SHORTEST_MS}
          max={LONGEST_MS}
          value={String(Number((1000 * defaults.flashDuration).toPrecision(6)))}
          commit={(text) => {
            const ms = numberIn(text);
            const sound = ms >= SHORTEST_MS && ms <= LONGEST_MS;
            setProblem(sound ? '' : `A flash lights for ${SHORTEST_MS} to ${LONGEST_MS} ms.`);
            if (sound) change({ flashDuration: seconds(ms / 1000) }, 'flash duration');
          }}
          data-field="default-flash"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

function ListFields({ defaults, change }: Props) {
  const { programmes, series, checkLists } = useView((v) => v.preferences);
  const lists = [...checkLists, ...MECHANICAL_LISTS];
  const programme = programmes.find(({ id }) => id === defaults.programmeId) ?? null;
  const ring = [...series, ...BUILT_IN_SERIES].find(({ id }) => id === defaults.seriesId) ?? LEAF_SERIES;
  const problems = programme ? programmeProblems(programme, ring) : [];
  return (
    <>
      <label class="wide">
        programme
        <select
          value={programme?.id ?? ''}
          onChange={(e) => change({ programmeId: e.currentTarget.value || null }, 'programme')}
          data-field="default-programme"
        >
          <option value="">none: the dial is turned as I like</option>
          {programmes.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {problems.map((sentence) => (
        <p key={sentence} class="wide caution">
          {sentence} New jobs leave these steps out.
        </p>
      ))}
      <label class="wide">
        check list
        <select
          value={lists.some(({ id }) => id === defaults.checkListId) ? defaults.checkListId! : ''}
          onChange={(e) => change({ checkListId: e.currentTarget.value || null }, 'check list')}
          data-field="default-check-list"
        >
          <option value="">none</option>
          {lists.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <p class="wide quiet">
        Series, programmes and check lists of your own are made in the part “Series, programmes, check lists”.
      </p>
    </>
  );
}
