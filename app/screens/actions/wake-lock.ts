/** Keeps the screen awake while a board is connected: the hands that would wake it hold a camera. */
import { view } from '../view.ts';

let lock: WakeLockSentinel | null = null;
/** What was last asked for: one that was refused is not asked for again with every change of the view. */
let wanted = false;

/** Follows the connection from now on. A hidden page loses its lock; it is asked for again when it is back. */
export function keepAwake(): void {
  if (!('wakeLock' in navigator)) return;
  view.subscribe(follow);
  document.addEventListener('visibilitychange', follow);
}

function follow(): void {
  const now = view.getState().session.phase === 'live' && document.visibilityState === 'visible';
  if (now === wanted) return;
  wanted = now;
  if (wanted) void hold();
  else letGo();
}

function letGo(): void {
  const held = lock;
  lock = null;
  void held?.release().catch(() => undefined);
}

async function hold(): Promise<void> {
  try {
    const held = await navigator.wakeLock.request('screen');
    // It may have been let go and asked for again meanwhile: one of two is enough.
    if (!wanted || lock !== null) {
      await held.release();
      return;
    }
    lock = held;
    view.setState({ awake: true });
    held.addEventListener('release', () => {
      if (lock === held) lock = null;
      view.setState({ awake: lock !== null });
    });
  } catch {
    // A battery saver may refuse it: the screen then dims as it always does.
  }
}
