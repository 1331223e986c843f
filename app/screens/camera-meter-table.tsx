import { useRef, useState } from 'preact/hooks';
import type { MeterResult } from '../judge/exposure-meter.ts';
import type { MeterPoint, MeterTest } from '../judge/meter-test.ts';
import { signed, signedStops } from '../judge/verdict-words.ts';
import {
  fieldNames,
  lightField,
  readingFields,
  readLight,
  readReading,
  unitOf,
} from './camera-meter-entry.ts';
import { DraftField } from './draft-field.tsx';

interface Props {
  readonly meter: MeterTest;
  readonly result: MeterResult;
  readonly alter: (change: (test: MeterTest) => MeterTest, words: string) => void;
}

/** Steps of light and what the meter said, editable in place; what is typed in the last line makes a new one. */
export function MeterTable({ meter, result, alter }: Props) {
  const [problem, setProblem] = useState('');
  const names = fieldNames[meter.notation];
  // Of readings that are exposure values already, the column of what was read would say it twice.
  const converted = meter.notation !== 'EV' || meter.points.some(({ reading }) => !('ev' in reading));
  const change = (id: string, part: Partial<MeterPoint>, words: string) =>
    alter(
      (test) => ({ ...test, points: test.points.map((p) => (p.id === id ? { ...p, ...part } : p)) }),
      words,
    );
  const remove = (id: string, place: number) =>
    alter(
      (test) => ({ ...test, points: test.points.filter((p) => p.id !== id) }),
      `reading ${place} of the meter removed`,
    );
  return (
    <section class="card" aria-label="Readings of the meter">
      <h2>
        Readings: light against {meter.notation === 'needle mark' ? 'the needle at its mark' : 'the meter'}
      </h2>
      <div class="scrolls">
        <table class="entry" data-table="meter">
          <thead>
            <tr>
              <th scope="col">light, {unitOf(meter.constant.kind)}</th>
              {names.map((name) => (
                <th key={name} scope="col">
                  {name}
                </th>
              ))}
              <th scope="col">EV asked for</th>
              {converted && <th scope="col">EV read</th>}
              <th scope="col">error, EV</th>
              <th scope="col" class="left">
                note
              </th>
              <th scope="col">
                <span class="unseen">remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {meter.points.map((point, index) => (
              <Line
                key={point.id}
                point={point}
                place={index + 1}
                columns={names.length}
                converted={converted}
                meter={meter}
                found={result.points.find(({ id }) => id === point.id) ?? null}
                say={setProblem}
                change={(part, words) => change(point.id, part, words)}
                remove={() => remove(point.id, index + 1)}
              />
            ))}
          </tbody>
        </table>
      </div>
      {problem && (
        <p class="trouble" role="alert">
          {problem}
        </p>
      )}
      <NewLine
        key={meter.notation}
        meter={meter}
        say={setProblem}
        add={(point) =>
          alter(
            (test) => ({ ...test, points: [...test.points, point] }),
            `reading ${meter.points.length + 1} of the meter`,
          )
        }
      />
    </section>
  );
}

interface LineProps {
  readonly point: MeterPoint;
  readonly place: number;
  /** Fields of the notation in force; a reading written in another one keeps its own. */
  readonly columns: number;
  /** Whether a column shows the readings as exposure values. */
  readonly converted: boolean;
  readonly meter: MeterTest;
  readonly found: MeterResult['points'][number] | null;
  readonly say: (problem: string) => void;
  readonly change: (part: Partial<MeterPoint>, words: string) => void;
  readonly remove: () => void;
}

function Line({ point, place, columns, converted, meter, found, say, change, remove }: LineProps) {
  const fields = readingFields(point.reading);
  const names = fieldNames['ev' in point.reading ? 'EV' : 'f-number and time'];
  const setField = (index: number, text: string) => {
    if (text === fields[index]) return say('');
    const read = readReading(fields.map((field, i) => (i === index ? text : field)));
    say(read.ok ? '' : `Reading ${place}: ${read.problem}`);
    if (read.ok) change({ reading: read.reading }, `reading ${place} of the meter`);
  };
  const setLight = (text: string) => {
    if (text === lightField(point.light)) return say('');
    const read = readLight(text, meter);
    say(read.ok ? '' : `Reading ${place}: ${read.problem}`);
    if (read.ok) change({ light: read.value }, `light of reading ${place}`);
  };
  const inputs = fields.map((field, index) => (
    <DraftField
      key={names[index]!}
      aria-label={`${names[index]}, reading ${place}`}
      value={field}
      commit={(text) => setField(index, text)}
    />
  ));
  return (
    <tr data-point={place}>
      <td>
        <DraftField
          aria-label={`light, reading ${place}`}
          value={lightField(point.light)}
          commit={setLight}
        />
      </td>
      {fields.length === columns ? (
        inputs.map((input, index) => <td key={names[index]!}>{input}</td>)
      ) : (
        <td colSpan={columns} class="other-notation">
          {inputs}
        </td>
      )}
      <td data-cell="expected">{found && signed(found.expected, 2).replace('+', '')}</td>
      {converted && <td data-cell="read">{found && signed(found.read, 2).replace('+', '')}</td>}
      <td data-cell="error">{found && signedStops(found.error)}</td>
      <td class="left">
        <DraftField
          aria-label={`note on reading ${place}`}
          maxLength={200}
          value={point.note}
          commit={(note) => note !== point.note && change({ note }, `note on reading ${place}`)}
        />
      </td>
      <td>
        <button type="button" class="small" aria-label={`Remove reading ${place}`} onClick={remove}>
          ✕
        </button>
      </td>
    </tr>
  );
}

interface NewProps {
  readonly meter: MeterTest;
  readonly say: (problem: string) => void;
  readonly add: (point: MeterPoint) => void;
}

/** Enter adds the reading and goes back to the light of the next one. */
function NewLine({ meter, say, add }: NewProps) {
  const names = fieldNames[meter.notation];
  const [light, setLight] = useState('');
  const [texts, setTexts] = useState<readonly string[]>(names.map(() => ''));
  const first = useRef<HTMLInputElement>(null);
  const enter = (event: Event) => {
    event.preventDefault();
    const strength = readLight(light, meter);
    if (!strength.ok) return say(strength.problem);
    const read = readReading(texts);
    if (!read.ok) return say(read.problem);
    say('');
    add({ id: crypto.randomUUID(), light: strength.value, reading: read.reading, note: '' });
    setLight('');
    setTexts(names.map(() => ''));
    first.current?.focus();
  };
  return (
    <form class="row acts new-point" onSubmit={enter} aria-label="New reading of the meter">
      <label>
        light, {unitOf(meter.constant.kind)} or EV
        <input
          ref={first}
          value={light}
          placeholder={`250, or EV 11`}
          onInput={(e) => setLight(e.currentTarget.value)}
          data-field="new-light"
        />
      </label>
      {names.map((name, index) => (
        <label key={name}>
          {name}
          <input
            value={texts[index]}
            onInput={(e) => {
              const text = e.currentTarget.value;
              setTexts((all) => all.map((one, i) => (i === index ? text : one)));
            }}
            data-field={`new-reading-${index + 1}`}
          />
        </label>
      ))}
      <button type="submit" data-action="add-point">
        Add it <kbd>Enter</kbd>
      </button>
    </form>
  );
}
