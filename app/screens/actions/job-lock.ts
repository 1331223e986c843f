/**
 * One job, one tab: two of them would overwrite each other's changes and number firings twice. The browser
 * lets go of a lock by itself when its tab is closed or dies.
 */
let held: { readonly id: string; readonly letGo: () => void } | null = null;

export interface JobHold {
  /** The job is open here now: lets go of the one before. */
  readonly keep: () => void;
  /** The job could not be opened after all. */
  readonly giveBack: () => void;
}

/** Takes hold of a job, besides the one that is open; null if another tab has it. */
export function holdJob(id: string): Promise<JobHold | null> {
  if (held?.id === id) return Promise.resolve({ keep: () => {}, giveBack: () => {} });
  return new Promise((answer, fail) => {
    navigator.locks
      .request(`leafclock job ${id}`, { ifAvailable: true }, (lock) => {
        if (!lock) {
          answer(null);
          return;
        }
        return new Promise<void>((letGo) => {
          answer({
            keep: () => {
              held?.letGo();
              held = { id, letGo };
            },
            giveBack: letGo,
          });
        });
      })
      .catch(fail);
  });
}

/** No job is open here any more. */
export function letGoOfJob(): void {
  held?.letGo();
  held = null;
}
