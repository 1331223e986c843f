import { useEffect, useState } from 'preact/hooks';
import { BOUND_ACTIONS, type BoundAction, type Preferences } from '../record/preferences.ts';
import { savePreferences } from './actions/preferences.ts';
import { keyName } from './key-names.ts';
import { useView } from './view.ts';

type Keys = Preferences['keys'];

/** These work the page itself and would be lost to it: a key press can't be both. */
const UNUSABLE: Readonly<Record<string, string>> = {
  Tab: 'it moves between the parts of the page',
  ShiftLeft: 'it only changes other keys',
  ShiftRight: 'it only changes other keys',
  ControlLeft: 'it only changes other keys',
  ControlRight: 'it only changes other keys',
  AltLeft: 'it only changes other keys',
  AltRight: 'it only changes other keys',
  MetaLeft: 'it only changes other keys',
  MetaRight: 'it only changes other keys',
};

/** What a key means on the bench while it is bound to nothing, by KeyboardEvent.code of a US keyboard. */
const BENCH_KEYS: Readonly<Record<string, string>> = {
  ArrowUp: 'the mark before',
  ArrowDown: 'the next mark',
  ArrowLeft: 'looking back a firing',
  ArrowRight: 'looking forward a firing',
  Space: 'the release of the practice shutter',
  KeyS: 'the next stage',
  KeyR: 'the last mark once more',
  KeyN: 'leaving out a step of the programme',
  KeyV: 'another view of the bench',
  KeyW: 'a note of the work',
  KeyL: 'saying the reading again',
  Comma: 'the governor of the practice shutter',
  Period: 'the governor of the practice shutter',
  BracketLeft: 'the dial of the practice shutter',
  BracketRight: 'the dial of the practice shutter',
  KeyA: 'setting a firing aside',
  KeyM: 'moving a firing',
  KeyU: 'undo',
  KeyB: 'the uncertainty budget',
  KeyE: 'exercised',
  KeyK: 'keeping a firing at its mark',
  KeyD: 'did not fire',
  KeyO: 'stuck open',
  KeyX: 'not tried',
  ...Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`Digit${i + 1}`, 'another screen'])),
};

const without = (keys: Keys, code: string): Keys =>
  Object.fromEntries(Object.entries(keys).filter(([, bound]) => bound !== code));

/** Keys, or a pedal that types one, bound by pressing them. */
export function KeyBindings() {
  const keys = useView((v) => v.preferences.keys);
  const [listening, listen] = useState<BoundAction | null>(null);
  const [word, setWord] = useState('');

  useEffect(() => {
    if (listening === null) return;
    // Before anything else on the page: the key must do nothing but be bound.
    const press = (event: KeyboardEvent) => {
      event.preventDefault();
      event.stopPropagation();
      if (event.repeat) return;
      if (event.code === 'Escape') {
        setWord('');
        listen(null);
        return;
      }
      const said = bind(listening, event);
      setWord(said.words);
      if (said.bound) listen(null);
    };
    addEventListener('keydown', press, true);
    return () => removeEventListener('keydown', press, true);
  }, [listening]);

  return (
    <section class="card" data-card="keys">
      <h2>Keys and pedal</h2>
      <p class="quiet">
        Most pedals type a key: choose “Bind”, then press it. A key counts once however long it is held, and
        never while you write in a field.
      </p>
      <table data-table="keys">
        <thead>
          <tr>
            <th scope="col">what it does</th>
            <th scope="col" class="left">
              key
            </th>
            <th scope="col">
              <span class="unseen">bind or clear</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {BOUND_ACTIONS.map((action) => {
            const code = keys[action];
            return (
              <tr key={action} data-bind={action}>
                <td>{action}</td>
                <td class="left" data-key={code ?? ''}>
                  {listening === action ? (
                    <strong>press a key …</strong>
                  ) : code === undefined ? (
                    <span class="quiet">none</span>
                  ) : (
                    <kbd>{keyName(code)}</kbd>
                  )}
                </td>
                <td>
                  <button
                    type="button"
                    class="small"
                    aria-label={listening === action ? 'Leave it' : `Bind a key: ${action}`}
                    onClick={() => {
                      setWord('');
                      listen(listening === action ? null : action);
                    }}
                  >
                    {listening === action ? 'Leave it' : 'Bind'}
                  </button>{' '}
                  <button
                    type="button"
                    class="small"
                    disabled={code === undefined}
                    aria-label={`Clear the key: ${action}`}
                    onClick={() => {
                      setWord('');
                      clear(action);
                    }}
                  >
                    Clear
                  </button>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p role="status" class={word ? 'caution' : 'unseen'} data-word="keys">
        {word}
      </p>
    </section>
  );
}

function clear(action: BoundAction): void {
  savePreferences((p) => {
    const { [action]: _, ...keys } = p.keys;
    return { ...p, keys };
  }, `key of “${action}” cleared`);
}

/** Binds the key that was pressed, or says why it can't be; says as well what the key meant before. */
function bind(action: BoundAction, { code }: KeyboardEvent): { bound: boolean; words: string } {
  const name = keyName(code);
  if (code === '')
    return { bound: false, words: 'The browser does not tell which key that was. Press another.' };
  const reason = UNUSABLE[code];
  if (reason !== undefined)
    return { bound: false, words: `“${name}” can’t be bound: ${reason}. Press another.` };
  let taken: string | undefined;
  savePreferences((p) => {
    taken = BOUND_ACTIONS.find((other) => other !== action && p.keys[other] === code);
    return { ...p, keys: { ...without(p.keys, code), [action]: code } };
  }, `key of “${action}”`);
  if (taken !== undefined)
    return { bound: true, words: `“${name}” was bound to “${taken}”, which has no key now.` };
  const usual = BENCH_KEYS[code];
  return {
    bound: true,
    words:
      usual === undefined
        ? ''
        : `On the bench “${name}” otherwise means: ${usual}. Now it does “${action}” instead.`,
  };
}
