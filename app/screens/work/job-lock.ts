/**
 * One job, one tab: two of them would overwrite each other's changes and number firings twice. The browser
 * lets go of the lock by itself when a tab is closed or dies.
 */
let letGo: (() => void) | null = null;
let held: string | null = null;

/** Takes hold of a job, letting go of the one before. False if another tab has it; then nothing changes. */
export function holdJob(id: string): Promise<boolean> {
  if (held === id) return Promise.resolve(true);
  return new Promise((answer) => {
    void navigator.locks.request(`leafclock job ${id}`, { ifAvailable: true }, (lock) => {
      if (!lock) {
        answer(false);
        return;
      }
      letGo?.();
      held = id;
      const ended = new Promise<void>((resolve) => {
        letGo = resolve;
      });
      answer(true);
      return ended;
    });
  });
}
