/** What the page shows as recorded, and what its database holds, read past the page. */
import type { Page } from 'playwright-core';
import type { Levels } from '../../app/measure/figures.ts';

export interface KeptReading {
  readonly id: string;
  readonly jobId: string;
  readonly mark: string;
  /** When its light was seen, as Date.now(). */
  readonly at: number;
  readonly spoilt: string | null;
  readonly truncated: string;
  /** In seconds. */
  readonly effective: number | null;
  readonly levels: Levels | null;
  readonly remarks: readonly string[];
  /** Clock correction in force. */
  readonly ppm: number;
  /** As many samples as the row tells of lie beside it. */
  readonly whole: boolean;
}

declare global {
  interface Window {
    /** Ids of readings that were shown as recorded, oldest first, since they were last taken. */
    recordedIds: string[];
  }
}

/** From now on the page notes which readings it shows as recorded. Ends with a reload. */
export async function noteRecorded(page: Page): Promise<void> {
  await page.evaluate(() => {
    window.recordedIds = [];
    new MutationObserver(() => {
      const id = document.querySelector<HTMLElement>('[data-kept=recorded]')?.dataset.reading;
      if (id && window.recordedIds.at(-1) !== id) window.recordedIds.push(id);
    }).observe(document.body, {
      attributeFilter: ['data-kept', 'data-reading'],
      childList: true,
      subtree: true,
    });
  });
}

/** Those noted since the last call. */
export const takeRecorded = (page: Page): Promise<string[]> =>
  page.evaluate(() => window.recordedIds.splice(0));

/** Everything in the database, one firing at a time: an hour's samples at once would fill the page's memory. */
export async function keptReadings(page: Page): Promise<KeptReading[]> {
  return page.evaluate(async () => {
    const database = await new Promise<IDBDatabase>((resolve, reject) => {
      const request = indexedDB.open('leafclock');
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    const lengths = new Map<IDBValidKey, number>();
    const kept: KeptReading[] = [];
    const transaction = database.transaction(['firings', 'samples']);
    for (const name of ['samples', 'firings']) {
      await new Promise<void>((resolve, reject) => {
        const request = transaction.objectStore(name).openCursor();
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const cursor = request.result;
          if (!cursor) return resolve();
          if (name === 'samples') lengths.set(cursor.key, cursor.value.length);
          else {
            const { id, jobId, mark, at, firing, figures, clockCorrection } = cursor.value.data;
            kept.push({
              id,
              jobId,
              mark,
              at: Date.parse(at),
              spoilt: firing.spoilt,
              truncated: firing.truncated,
              effective: figures.effective,
              levels: figures.levels,
              remarks: figures.remarks.map((remark: { code: string }) => remark.code),
              ppm: clockCorrection?.ppm ?? 0,
              whole: lengths.get(id) === firing.sampleCount,
            });
          }
          cursor.continue();
        };
      });
    }
    database.close();
    return kept;
  });
}
