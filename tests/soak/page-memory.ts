/** How much the page holds, asked of the browser itself. */
import type { CDPSession, Page } from 'playwright-core';

export interface PageMemory {
  /** JavaScript objects, in MB. */
  readonly heap: number;
  /** What array buffers hold besides, in MB: the recording of the last minutes above all. */
  readonly buffers: number;
  readonly nodes: number;
  readonly listeners: number;
}

export class MemoryWatch {
  readonly #session: CDPSession;

  private constructor(session: CDPSession) {
    this.#session = session;
  }

  static async of(page: Page): Promise<MemoryWatch> {
    const session = await page.context().newCDPSession(page);
    await session.send('HeapProfiler.enable');
    return new MemoryWatch(session);
  }

  /** After all that nobody refers to has been collected. */
  async look(): Promise<PageMemory> {
    // The second collection takes what only the finalizers of the first have let go.
    for (let i = 0; i < 2; i++) await this.#session.send('HeapProfiler.collectGarbage');
    const { usedSize, backingStorageSize = 0 } = (await this.#session.send('Runtime.getHeapUsage')) as {
      usedSize: number;
      backingStorageSize?: number;
    };
    const { nodes, jsEventListeners } = await this.#session.send('Memory.getDOMCounters');
    return { heap: usedSize / 1e6, buffers: backingStorageSize / 1e6, nodes, listeners: jsEventListeners };
  }
}
