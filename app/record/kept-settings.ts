/** What the workshop set, each under its own name. */
import type { RecordDatabase } from './layout.ts';
import type { RecordTypes } from './record-types.ts';
import { openEnvelope, sealEnvelope } from './schema.ts';
import { inTransaction } from './transaction.ts';

type SettingType = 'workshop' | 'preferences' | 'open job';

export function saveSetting<Type extends SettingType>(
  database: RecordDatabase,
  type: Type,
  data: RecordTypes[Type],
  doing: string,
): Promise<void> {
  return inTransaction(database, ['settings'], 'readwrite', doing, async (tx) => {
    await tx.objectStore('settings').put(sealEnvelope(type, data), type);
  });
}

export function loadSetting<Type extends SettingType>(
  database: RecordDatabase,
  type: Type,
  doing: string,
): Promise<RecordTypes[Type] | null> {
  return inTransaction(database, ['settings'], 'readonly', doing, async (tx) => {
    const stored = await tx.objectStore('settings').get(type);
    return stored === undefined ? null : openEnvelope(type, stored);
  });
}
