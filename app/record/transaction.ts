import type { IDBPTransaction, StoreNames } from 'idb';
import type { RecordDatabase, Stores } from './layout.ts';
import { asRecordError } from './record-error.ts';

export type Transaction<
  Names extends StoreNames<Stores>[],
  Mode extends 'readonly' | 'readwrite',
> = IDBPTransaction<Stores, Names, Mode>;

/**
 * Runs `work` in one transaction and resolves once it is committed to disk: durability is strict, since
 * the default of some browsers promises no more than that the system was told.
 *
 * `work` awaits nothing but requests of this transaction, or the browser commits it early. If anything
 * fails, at a request, at commit or in `work`, the whole of it is undone and a RecordError thrown whose
 * sentence begins with `doing`.
 */
export async function inTransaction<
  const Names extends StoreNames<Stores>[],
  Mode extends 'readonly' | 'readwrite',
  Result,
>(
  database: RecordDatabase,
  names: Names,
  mode: Mode,
  doing: string,
  work: (transaction: Transaction<Names, Mode>) => Promise<Result>,
): Promise<Result> {
  try {
    const transaction = database.transaction(names, mode, { durability: 'strict' });
    const done = transaction.done;
    done.catch(() => {}); // Awaited below; a fault must not count as unhandled until then.
    try {
      const result = await work(transaction);
      await done;
      return result;
    } catch (error) {
      await abort(transaction, done);
      throw error;
    }
  } catch (error) {
    throw asRecordError(error, doing);
  }
}

/** Undoes what is not undone yet and waits until the transaction has ended either way. */
async function abort(transaction: { abort(): void }, done: Promise<void>): Promise<void> {
  try {
    transaction.abort();
  } catch {
    // It has ended already, by the same fault.
  }
  await done.catch(() => {});
}

/**
 * Makes requests without waiting between them. One that throws when it is made counts as one that fails, so that
 * the failures of the others are heard too.
 */
export async function atOnce(requests: readonly (() => Promise<unknown>)[]): Promise<void> {
  await Promise.all(requests.map(async (request) => request()));
}
