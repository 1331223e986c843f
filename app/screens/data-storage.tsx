import { useEffect, useState } from 'preact/hooks';
import type { StorageState } from '../record/storage-state.ts';
import { askToKeep, storageNow } from './actions/data-storage.ts';

/** What the browser promises about the space that everything lies in. */
export function StorageCard() {
  const [state, setState] = useState<StorageState | null>(null);
  const [asked, setAsked] = useState(false);
  useEffect(() => void storageNow().then(setState), []);
  if (!state)
    return (
      <section class="card" data-card="storage">
        <h2>Storage in this browser</h2>
        <p class="quiet">Looking …</p>
      </section>
    );
  const { persistent, used, available } = state;
  return (
    <section class="card" data-card="storage" data-persistent={String(persistent)}>
      <h2>Storage in this browser</h2>
      <p class={persistent ? '' : 'caution'}>
        {persistent
          ? 'The browser has promised to keep everything until you delete it.'
          : 'The browser has not promised to keep everything: when space on the disk is short it may clear it. Save files of everything.'}
      </p>
      <p>
        {used === null
          ? 'The browser does not say how much is used.'
          : `About ${bytesText(used)} used${available === null ? '' : `, ${bytesText(available)} still free for this page`}.`}
      </p>
      {persistent !== true && (
        <div class="row">
          <button
            type="button"
            onClick={() =>
              void askToKeep().then((now) => {
                setState(now);
                setAsked(true);
              })
            }
            data-action="ask-to-keep"
          >
            Ask the browser to keep it
          </button>
        </div>
      )}
      <p role="status" class="quiet">
        {asked && persistent !== true
          ? 'It did not promise. Browsers decide by how often a page is used, and whether it is bookmarked or installed: ask again in some days.'
          : ''}
      </p>
    </section>
  );
}

const UNITS = ['B', 'kB', 'MB', 'GB', 'TB'];

/** Decimal units, as disks are sold by. */
function bytesText(bytes: number): string {
  const power = Math.min(UNITS.length - 1, Math.floor(Math.log10(Math.max(1, bytes)) / 3));
  const value = bytes / 1000 ** power;
  return `${value.toFixed(power === 0 || value >= 100 ? 0 : 1)} ${UNITS[power]}`;
}
