/** What the browser promises about the space the record lies in. */
export interface StorageState {
  /** False: the browser may throw the record away when space is short. Null: it doesn't say. */
  readonly persistent: boolean | null;
  /** Bytes, as estimated by the browser; null where it doesn't say. */
  readonly used: number | null;
  readonly available: number | null;
}

type Storage = Partial<Pick<StorageManager, 'persist' | 'persisted' | 'estimate'>>;

/**
 * Says how things stand; with `ask`, after asking the browser to keep the record for good, which it may
 * refuse. Never rejects: a browser without these functions, or one that fails in them, gives nulls.
 *
 * @param storage navigator.storage, which is missing outside secure contexts.
 */
export async function storageState(storage: Storage | undefined, { ask = true } = {}): Promise<StorageState> {
  const persistent = await orNull(async () => {
    const already = await storage?.persisted?.();
    return already === true || !ask ? already : ((await storage?.persist?.()) ?? already);
  });
  const estimate = await orNull(async () => storage?.estimate?.());
  const used = estimate?.usage ?? null;
  const quota = estimate?.quota ?? null;
  return { persistent, used, available: used === null || quota === null ? null : Math.max(0, quota - used) };
}

async function orNull<Value>(ask: () => Promise<Value | undefined>): Promise<Value | null> {
  try {
    return (await ask()) ?? null;
  } catch {
    return null;
  }
}
