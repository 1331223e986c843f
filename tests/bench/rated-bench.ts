/** The built page with a board of the rig at either rate, worked by its buttons. */
import type { LineRate } from '../../firmware-protocol/line-speeds.ts';
import { BenchPage } from '../browser/bench-page.ts';
import type { Board } from '../rig/board.ts';
import type { Browser } from '../rig/browser.ts';
import { Rig } from '../rig/rig.ts';
import { builtPage } from './built-page.ts';

export const RATES: readonly LineRate[] = ['normal', 'fast'];
/** From the opening of the port to the firmware's start, in ms: that of a common boot loader. */
export const BOOT_MS = 500;
const LIVE_MS = 60_000;

export class RatedBench {
  private constructor(
    readonly rig: Rig,
    readonly board: Board,
    readonly browser: Browser,
    readonly bench: BenchPage,
  ) {}

  /** A job is open; the board is plugged in and not yet connected. */
  static async start(): Promise<RatedBench> {
    const rig = new Rig();
    try {
      const { origin } = await rig.servePage(await builtPage());
      const board = await rig.startBoard({ seed: 20261125, bootTime: BOOT_MS });
      await board.plug();
      const browser = await rig.launch(origin, { rate: 'automatic' });
      const bench = new BenchPage(browser.page, origin);
      await bench.newJob({ customer: 'Nobody (invented)' });
      return new RatedBench(rig, board, browser, bench);
    } catch (error) {
      await rig.close();
      throw error;
    }
  }

  close(): Promise<void> {
    return this.rig.close();
  }

  /** Connects at this rate by a click and waits until the board is live. */
  async connect(rate: LineRate): Promise<void> {
    const { bench } = this;
    await this.#choose(rate);
    await bench.open('start');
    await bench.page.click('[data-action=connect]');
    await this.live(rate);
  }

  async disconnect(): Promise<void> {
    await this.bench.open('start');
    await this.bench.page.click('button:has-text("Disconnect")');
    await this.appears('[data-board=idle]');
  }

  /** Waits until the board is live, and throws when it is at another rate. */
  async live(rate: LineRate): Promise<void> {
    await this.appears('[data-board=live]').catch(async () => {
      const board = this.bench.page.locator('[data-board]').first();
      throw new Error(
        `The board is not live: ${await this.bench.boardWords()}. ${(await board.getAttribute('title')) ?? ''}`,
      );
    });
    const inUse = await this.bench.page
      .locator('[data-board] [data-rate-in-use]')
      .first()
      .getAttribute('data-rate-in-use');
    if (inUse !== rate) throw new Error(`The page uses the ${inUse} rate and not the ${rate} one`);
  }

  async appears(selector: string): Promise<void> {
    await this.bench.page.locator(selector).first().waitFor({ timeout: LIVE_MS });
  }

  /** Automatic means fast on a sound line. What failed before, on a busy machine perhaps, is forgotten. */
  async #choose(rate: LineRate): Promise<void> {
    const { bench } = this;
    await bench.page.evaluate(() => localStorage.removeItem('leafclock.fast-rate-failed'));
    await bench.open('settings');
    await bench.page.click('[data-part=boards]');
    await bench.page.click(`[data-rate=${rate === 'fast' ? 'automatic' : 'normal'}]`);
  }
}
