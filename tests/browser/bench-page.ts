/** The page as its user works it, for the browser tests: by its buttons and keys, never by its code. */
import type { Download, Page } from 'playwright-core';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { StageId } from '../../app/record/job.ts';
import type { Screen } from '../../app/screens/view.ts';
import type { Board } from '../rig/board.ts';

export class BenchPage {
  constructor(
    readonly page: Page,
    readonly origin: string,
  ) {}

  async open(screen: Screen): Promise<void> {
    if (!this.page.url().startsWith(this.origin)) await this.page.goto(`${this.origin}/#${screen}`);
    else await this.page.click(`[data-screen=${screen}]`);
  }

  /** Makes a job with the fields given, by data-field. */
  async newJob(fields: Readonly<Record<string, string>>): Promise<void> {
    await this.open('start');
    await this.page.click('[data-action=new-job]');
    await this.#appears('[data-field=customer]');
    await this.fill(fields);
  }

  /** Fills fields of the screen on show, by data-field, and leaves each. */
  async fill(fields: Readonly<Record<string, string>>): Promise<void> {
    for (const [name, text] of Object.entries(fields)) {
      await this.page.fill(`[data-field=${name}]`, text);
      await this.page.press(`[data-field=${name}]`, 'Tab');
    }
  }

  async connectBoard(): Promise<void> {
    await this.open('start');
    await this.page.click('[data-action=connect]');
    await this.waitForBoard('live');
    await this.open('bench');
  }

  async waitForBoard(phase: string): Promise<void> {
    await this.#appears(`[data-board=${phase}]`);
  }

  async boardWords(): Promise<string> {
    return ((await this.page.textContent('[data-board]')) ?? '').trim();
  }

  /** Turns the page's mark by the arrow keys until it stands at `mark`. */
  async setMark(mark: string): Promise<void> {
    const labels = await this.page.$$eval('[data-table=speeds] tbody tr', (rows) =>
      rows.map((row) => (row as HTMLElement).dataset.mark ?? ''),
    );
    const here = await this.page.$eval(
      '[data-table=speeds] tr[aria-current]',
      (row) => (row as HTMLElement).dataset.mark ?? '',
    );
    const steps = labels.indexOf(mark) - labels.indexOf(here);
    for (let i = 0; i < Math.abs(steps); i++)
      await this.page.keyboard.press(steps > 0 ? 'ArrowDown' : 'ArrowUp');
    await this.#appears(`[data-table=speeds] tr[aria-current][data-mark="${mark}"]`);
  }

  async setStage(stage: StageId): Promise<void> {
    await this.page.click(`[aria-label=Stage] button:has-text("${stage}")`);
  }

  /** Turns the practice shutter's own dial, and the page's mark with it. */
  async setPracticeDial(mark: string): Promise<void> {
    await this.page.selectOption('[data-control=dial]', mark);
    await this.page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await this.setMark(mark);
  }

  /** Presses the practice shutter's release, and waits until the firing is recorded. */
  async firePractice(times = 1): Promise<void> {
    for (let i = 0; i < times; i++) {
      const before = await this.shownId();
      await this.waitForArmed();
      await this.page.keyboard.press('Space');
      await this.waitForRecorded(before);
    }
  }

  async waitForArmed(): Promise<void> {
    await this.#appears('[data-eye=armed]');
  }

  /** Fires and waits until the page shows the firing as recorded: its id, and what it really was. */
  async fire(board: Board): Promise<{ id: string; truth: TrueFiring }> {
    const before = await this.shownId();
    await this.waitForArmed();
    const truth = await board.fire();
    return { id: await this.waitForRecorded(before), truth };
  }

  async shownId(): Promise<string> {
    return (await this.page.getAttribute('[data-reading]', 'data-reading')) ?? '';
  }

  async waitForRecorded(unlike: string): Promise<string> {
    const selector = `[data-kept=recorded]:not([data-reading="${unlike}"])`;
    await this.#appears(selector);
    return this.shownId();
  }

  figure(name: 'time' | 'fraction' | 'error' | 'verdict'): Promise<string> {
    return this.page.textContent(`[data-figure=${name}]`).then((text) => (text ?? '').trim());
  }

  /** The table of speeds, a record of cells for each mark. */
  async table(): Promise<Map<string, Record<string, string>>> {
    const rows = await this.page.$$eval('[data-table=speeds] tbody tr', (all) =>
      all.map((row) => ({
        mark: (row as HTMLElement).dataset.mark ?? '',
        cells: [...row.querySelectorAll<HTMLElement>('[data-cell]')].map(
          (cell) => [cell.dataset.cell ?? '', cell.textContent ?? ''] as const,
        ),
      })),
    );
    return new Map(rows.map(({ mark, cells }) => [mark, Object.fromEntries(cells)]));
  }

  async savePdf(): Promise<Download> {
    await this.open('certificate');
    const [download] = await Promise.all([
      this.page.waitForEvent('download', { timeout: 60_000 }),
      this.page.click('[data-action=save-pdf]'),
    ]);
    return download;
  }

  /** Waits without a handle, which would keep what it points to in the page's memory for as long as the page lives. */
  async #appears(selector: string): Promise<void> {
    await this.page.locator(selector).first().waitFor({ timeout: 20_000 });
  }

  /** What the database holds, read past the page: rows of firings with the length of their samples. */
  async kept(): Promise<KeptFiring[]> {
    return this.page.evaluate(async () => {
      const database = await new Promise<IDBDatabase>((resolve, reject) => {
        const request = indexedDB.open('leafclock');
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
      const all = <T>(store: IDBObjectStore, what: 'getAll' | 'getAllKeys') =>
        new Promise<T[]>((resolve, reject) => {
          const request = store[what]();
          request.onsuccess = () => resolve(request.result as T[]);
          request.onerror = () => reject(request.error);
        });
      const transaction = database.transaction(['firings', 'samples']);
      const firings = await all<{ data: KeptFiring }>(transaction.objectStore('firings'), 'getAll');
      const keys = await all<string>(transaction.objectStore('samples'), 'getAllKeys');
      const samples = await all<Uint8Array>(transaction.objectStore('samples'), 'getAll');
      database.close();
      const lengths = new Map(keys.map((key, i) => [key, samples[i]!.length]));
      return firings
        .map(({ data }) => ({ ...data, samplesKept: lengths.get(data.id) ?? -1 }))
        .sort((a, b) => a.ordinal - b.ordinal);
    });
  }
}

export interface KeptFiring {
  readonly id: string;
  readonly stage: string;
  readonly mark: string;
  readonly reference: object | null;
  readonly ordinal: number;
  readonly figures: { readonly effective: number | null; readonly halfHeight: number | null };
  readonly firing: {
    readonly spoilt: string | null;
    readonly sampleCount: number;
    readonly ticksPerSample: number;
  };
  readonly samplesKept: number;
}
