/** Boards that were connected here, with what was found of them last. */
import type { RecordDatabase } from './layout.ts';
import type { KnownBoard } from './preferences.ts';
import { openEnvelope, sealEnvelope } from './schema.ts';
import { readAll, type Unreadable } from './stored-records.ts';
import { inTransaction } from './transaction.ts';

/** Boards without a number of their own share an entry by model and firmware image. */
export const boardKey = ({ serial, board, image }: KnownBoard) =>
  serial === '' ? `model ${board} ${image}` : `serial ${serial}`;

/** What is null in `known` stays as it was noted before. */
export function noteBoard(database: RecordDatabase, known: KnownBoard): Promise<KnownBoard> {
  const doing = 'The board was not noted.';
  return inTransaction(database, ['boards'], 'readwrite', doing, async (tx) => {
    const store = tx.objectStore('boards');
    const stored = await store.get(boardKey(known));
    const before = stored === undefined ? null : openEnvelope('known board', stored);
    const noted: KnownBoard = {
      ...known,
      clock: known.clock ?? before?.clock ?? null,
      lightCheck: known.lightCheck ?? before?.lightCheck ?? null,
      referenceLight: known.referenceLight ?? before?.referenceLight ?? null,
    };
    await store.put(sealEnvelope('known board', noted), boardKey(known));
    return noted;
  });
}

/** The one seen last first. */
export async function loadBoards(
  database: RecordDatabase,
): Promise<{ boards: readonly KnownBoard[]; unreadable: readonly Unreadable[] }> {
  const doing = 'The boards known here could not be read.';
  const entries = await inTransaction(database, ['boards'], 'readonly', doing, async (tx) => {
    const store = tx.objectStore('boards');
    const [keys, stored] = await Promise.all([store.getAllKeys(), store.getAll()]);
    return keys.map((id, index) => ({ id, stored: stored[index] }));
  });
  const { read, unreadable } = readAll(entries, ({ stored }) => openEnvelope('known board', stored));
  read.sort((a, b) => Date.parse(b.lastSeen) - Date.parse(a.lastSeen));
  return { boards: read, unreadable };
}
