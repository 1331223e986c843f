import { readOwnSeries } from '../judge/own-series.ts';
import { defaultProgrammes } from '../judge/programmes.ts';
import { BUILT_IN_SERIES, LEAF_SERIES } from '../judge/series.ts';
import { MECHANICAL_LISTS } from '../record/mechanical-lists.ts';
import type { Preferences } from '../record/preferences.ts';
import { savePreferences } from './actions/preferences.ts';
import { ListEditor, type ReadEntry } from './settings-list-editor.tsx';
import { programmeText, readProgrammeText } from './settings-programme-text.ts';
import { useView } from './view.ts';

type ListName = 'series' | 'programmes' | 'checkLists';
type Entry<Name extends ListName> = Preferences[Name][number];

/** One list with an entry put in its place, or at its end if it is new. */
const withEntry = <One extends { readonly id: string }>(list: readonly One[], entry: One): readonly One[] =>
  list.some(({ id }) => id === entry.id)
    ? list.map((other) => (other.id === entry.id ? entry : other))
    : [...list, entry];

function keep<Name extends ListName>(name: Name, entry: Entry<Name>, words: string): void {
  savePreferences(
    (p) => ({ ...p, [name]: withEntry<Entry<ListName>>(p[name], entry) }),
    `${words} “${entry.name}”`,
  );
}

function drop(name: ListName, id: string, words: string): void {
  savePreferences((p) => ({ ...p, [name]: p[name].filter((one) => one.id !== id) }), words);
}

const labels = (series: Entry<'series'>) => series.speeds.map(({ label }) => label).join(' ');
const lines = (text: string) => text.split('\n').flatMap((line) => line.trim() || []);

/** The workshop's own series, programmes and check lists. */
export function ListSettings() {
  return (
    <div class="columns broad">
      <OwnSeries />
      <OwnProgrammes />
      <OwnCheckLists />
    </div>
  );
}

function OwnSeries() {
  const series = useView((v) => v.preferences.series);
  return (
    <ListEditor
      title="Series of speeds"
      about="Marks as the ring carries them, in any order: 1/60, 2, 0.5, B and T. A job keeps its own copy."
      kind="series"
      contents="marks"
      rows={2}
      entries={series.map((one) => ({ id: one.id, name: one.name, text: labels(one) }))}
      patterns={BUILT_IN_SERIES.map((one) => ({ name: one.name, text: labels(one) }))}
      read={({ name, text }) => {
        const own = readOwnSeries(text, name);
        return own.ok ? null : own.problems.map(({ sentence }) => sentence);
      }}
      keep={({ id, name, text }) => {
        const own = readOwnSeries(text, name, id);
        if (own.ok) keep('series', own.series, 'series');
      }}
      drop={({ id, name }) => drop('series', id, `series “${name}” removed`)}
    />
  );
}

function OwnProgrammes() {
  const { programmes, series, defaults } = useView((v) => v.preferences);
  const ring = [...series, ...BUILT_IN_SERIES].find(({ id }) => id === defaults.seriesId) ?? LEAF_SERIES;
  const offered = defaultProgrammes(ring, defaults.leastFirings['as left']);
  return (
    <ListEditor
      title="Programmes"
      about="A step a line, in the order of firing: the mark and how many firings, as in “1/60 3”. A mark may come again later."
      kind="programme"
      contents="steps"
      rows={8}
      entries={programmes.map(({ id, name, steps }) => ({ id, name, text: programmeText(steps) }))}
      patterns={offered.map(({ name, steps }) => ({ name, text: programmeText(steps) }))}
      read={({ text }) => {
        const read = readProgrammeText(text);
        return read.ok ? null : read.problems;
      }}
      keep={({ id, name, text }) => {
        const read = readProgrammeText(text);
        if (read.ok) keep('programmes', { id, name, steps: read.steps }, 'programme');
      }}
      drop={({ id, name }) => drop('programmes', id, `programme “${name}” removed`)}
    />
  );
}

function OwnCheckLists() {
  const lists = useView((v) => v.preferences.checkLists);
  return (
    <ListEditor
      title="Check lists"
      about="What is looked at on a camera besides its speeds: a check a line. A list for each type of camera."
      kind="check list"
      contents="checks"
      rows={10}
      entries={lists.map(({ id, name, items }) => ({ id, name, text: items.join('\n') }))}
      patterns={MECHANICAL_LISTS.map(({ name, items }) => ({ name, text: items.join('\n') }))}
      read={({ text }) => checkListProblems(lines(text))}
      keep={({ id, name, text }) => keep('checkLists', { id, name, items: lines(text) }, 'check list')}
      drop={({ id, name }) => drop('checkLists', id, `check list “${name}” removed`)}
    />
  );
}

function checkListProblems(items: readonly string[]): ReadEntry {
  if (items.length === 0) return ['The list has no checks in it.'];
  const twice = items.filter((item, index) => items.indexOf(item) !== index);
  return twice.length === 0 ? null : [...new Set(twice)].map((item) => `“${item}” stands in the list twice.`);
}
