import { programmeProblems } from '../judge/programmes.ts';
import { BUILT_IN_SERIES, LEAF_SERIES } from '../judge/series.ts';
import { MECHANICAL_LISTS } from '../record/mechanical-lists.ts';
import type { Preferences } from '../record/preferences.ts';
import { savePreferences } from './actions/preferences.ts';
import { BandFields } from './job-band.tsx';
import { FlashField, LeastFields, RuleFields } from './job-rules.tsx';
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
          <BandFields value={defaults} change={change} prefix="default-" />
          <RuleFields value={defaults} change={change} prefix="default-" />
        </section>
        <section class="card fields">
          <h2 class="wide">Firings, flash and lists</h2>
          <LeastFields value={defaults} change={change} prefix="default-" />
          <FlashField value={defaults} change={change} prefix="default-" />
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
