import { useEffect, useState } from 'preact/hooks';
import { wayIn } from '../link/way-in.ts';
import type { StorageState } from '../record/storage-state.ts';
import { storage } from './actions/record.ts';
import { type Ability, abilities, boardAdvice } from './start-abilities.ts';
import './start-abilities.css';

/** Said beside the button that connects a board, where not every board can be. */
export function BoardAdvice() {
  const advice = boardAdvice(wayIn(window));
  if (!advice) return null;
  return (
    <p class={`advice ${advice.tone === 'trouble' ? 'trouble' : 'quiet'}`} data-advice={advice.tone}>
      {advice.words}
    </p>
  );
}

export function Abilities() {
  const [kept, setKept] = useState<StorageState | null>(null);
  useEffect(() => void storage().then(setKept), []);
  const lines = abilities(window, { lasting: kept?.persistent ?? null, offline: useKeptOffline() });
  return (
    <section class="card abilities">
      <h2>What this browser can do</h2>
      <table>
        <tbody>
          {lines.map(({ name, good, mark, words }) => (
            <tr key={name} data-ability={name}>
              <th scope="row">{name}</th>
              <td class={`left ${colour[good]}`}>{mark}</td>
              <td class="left quiet words">{words}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const colour: Record<Ability['good'], string> = { yes: 'within', partly: 'quiet', no: 'beyond' };

/** Whether a service worker of this page stands ready with a copy of it; null until that is known. */
function useKeptOffline(): boolean | null {
  const [kept, setKept] = useState<boolean | null>(null);
  useEffect(() => {
    const workers: ServiceWorkerContainer | undefined = navigator.serviceWorker;
    if (!workers) return;
    let here = true;
    setKept(workers.controller !== null);
    // Resolves once a worker is active, be it in this visit or in one before; never where none is registered.
    void workers.ready.then(() => here && setKept(true));
    return () => {
      here = false;
    };
  }, []);
  return kept;
}
