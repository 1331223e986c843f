/**
 * The page is kept on this computer by a service worker (vite.config.ts), and a newer one takes its place only when
 * the user says so: no port open, nothing unwritten, no other tab. A tab is never reloaded by itself.
 */
import { type View, view } from '../view.ts';
import { changesWritten } from './jobs.ts';
import { say } from './notices.ts';
import { preferencesWritten } from './preferences.ts';
import { unwrittenCount } from './readings.ts';

/** Held by every tab of Leafclock, together, as long as it is there. */
const EVERY_TAB = 'leafclock page';

let kept: ServiceWorkerRegistration | null = null;
let takingOver = false;

/** Where nothing can be kept (no secure address, no service worker served) the page works from its server alone. */
export async function keepPage(): Promise<void> {
  const workers = navigator.serviceWorker;
  if (!workers) return;
  void navigator.locks?.request(EVERY_TAB, { mode: 'shared' }, () => new Promise(() => {}));
  let ruled = workers.controller !== null;
  workers.addEventListener('controllerchange', () => {
    // The first one of all is of the same build as this page.
    if (ruled && !takingOver) view.setState({ update: 'elsewhere' });
    ruled = true;
  });
  try {
    kept = await workers.register('./sw.js', { updateViaCache: 'none' });
  } catch {
    return;
  }
  if (kept.active && kept.waiting) offer();
  kept.addEventListener('updatefound', () => {
    const coming = kept?.installing;
    if (coming && kept?.active) void installed(coming).then((state) => state === 'installed' && offer());
  });
  document.addEventListener('visibilitychange', lookForUpdate);
}

/** True while a board, the practice bench or a recording is in use, or firmware is put on: nothing may come between. */
export const portInUse = ({ session, flashing }: View): boolean =>
  session.phase === 'opening' ||
  session.phase === 'greeting' ||
  session.phase === 'live' ||
  flashing.phase === 'working';

/** The browser looks once when a page is loaded; a tab may stay open for weeks. */
function lookForUpdate(): void {
  if (document.visibilityState !== 'visible' || portInUse(view.getState())) return;
  void kept?.update().catch(() => undefined); // without a network there is none
}

function offer(): void {
  view.setState(({ update }) => (update === 'none' ? { update: 'waiting' } : {}));
}

/** Loads the newer page, or says why not now. */
export async function loadNewVersion(): Promise<void> {
  if (await reasonToWait()) return;
  try {
    const next = await newest();
    if (next === null && view.getState().newerDatabase && kept?.active) {
      say(
        'This address has no newer Leafclock. Start the newer one, or open it where it is served, and load this page again.',
        'trouble',
      );
      return;
    }
    if (next !== null) await takeOver(next);
    location.reload();
  } catch (error) {
    say(`The new version could not be loaded. ${(error as Error).message}`, 'trouble');
  }
}

async function reasonToWait(): Promise<boolean> {
  if (portInUse(view.getState())) {
    say('Disconnect the board first; then the new version can be loaded.', 'trouble');
    return true;
  }
  await Promise.all([changesWritten(), preferencesWritten()]);
  if (unwrittenCount() > 0) {
    say(
      'Firings are not recorded yet and would be lost. Record them on the bench before you load the new version.',
      'trouble',
    );
    return true;
  }
  const { held = [] } = (await navigator.locks?.query()) ?? {};
  if (held.filter(({ name }) => name === EVERY_TAB).length > 1) {
    say(
      'Leafclock is open in another tab as well. Close it there first; then load the new version here.',
      'trouble',
    );
    return true;
  }
  return false;
}

/** The service worker of the newest page, if it isn't the one in use. */
async function newest(): Promise<ServiceWorker | null> {
  if (!kept) return null;
  if (!kept.waiting) await kept.update().catch(() => undefined);
  if (kept.installing) await installed(kept.installing);
  return kept.waiting;
}

/** @throws Error if it was given up for a still newer one, or could not be started. */
async function takeOver(next: ServiceWorker): Promise<void> {
  takingOver = true;
  try {
    const state = stateOnceIn(next, ['activated', 'redundant']);
    next.postMessage({ type: 'SKIP_WAITING' }); // the word that Workbox's service workers listen for
    if ((await state) === 'redundant') throw new Error('Try again.');
  } catch (error) {
    takingOver = false;
    throw error;
  }
}

const installed = (worker: ServiceWorker) => stateOnceIn(worker, ['installed', 'activated', 'redundant']);

function stateOnceIn(
  worker: ServiceWorker,
  wanted: readonly ServiceWorkerState[],
): Promise<ServiceWorkerState> {
  return new Promise((resolve) => {
    const look = () => {
      if (!wanted.includes(worker.state)) return;
      worker.removeEventListener('statechange', look);
      resolve(worker.state);
    };
    worker.addEventListener('statechange', look);
    look();
  });
}
