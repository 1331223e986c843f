/** What the page keeps, read past it: every store of its database, byte for byte. */
import type { Page } from 'playwright-core';

export interface KeptData {
  readonly jobs: readonly Entry[];
  readonly firings: readonly Entry[];
  /** SHA-256 of the samples, hex, by id of the firing. */
  readonly samples: readonly { readonly key: string; readonly value: { sha256: string; length: number } }[];
  readonly pictures: readonly Entry[];
  readonly settings: readonly Entry[];
  readonly boards: readonly Entry[];
}

interface Entry {
  readonly key: string;
  // biome-ignore lint/suspicious/noExplicitAny: records of any kind and version
  readonly value: any;
}

export async function keptData(page: Page): Promise<KeptData> {
  return page.evaluate(async () => {
    const answer = <Value>(request: IDBRequest<Value>) =>
      new Promise<Value>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    /** Bytes are told by their number and their SHA-256. */
    const plain = async (value: unknown): Promise<unknown> => {
      if (value instanceof Uint8Array) {
        const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', new Uint8Array(value)));
        const sha256 = [...digest].map((byte) => byte.toString(16).padStart(2, '0')).join('');
        return { sha256, length: value.length };
      }
      if (Array.isArray(value)) return Promise.all(value.map(plain));
      if (typeof value !== 'object' || value === null) return value;
      const entries = Object.entries(value).map(async ([key, one]) => [key, await plain(one)] as const);
      return Object.fromEntries(await Promise.all(entries));
    };
    const database = await answer(indexedDB.open('leafclock'));
    const names = ['jobs', 'firings', 'samples', 'pictures', 'settings', 'boards'];
    const transaction = database.transaction(names);
    const read = await Promise.all(
      names.map(async (name) => {
        const store = transaction.objectStore(name);
        const [keys, values] = await Promise.all([answer(store.getAllKeys()), answer(store.getAll())]);
        return { name, keys, values };
      }),
    );
    database.close();
    const stores = await Promise.all(
      read.map(async ({ name, keys, values }) => [
        name,
        await Promise.all(keys.map(async (key, i) => ({ key: String(key), value: await plain(values[i]) }))),
      ]),
    );
    return Object.fromEntries(stores);
  }) as Promise<KeptData>;
}
