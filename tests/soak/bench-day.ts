/** A day at the bench, made up: a shutter that is fired all the time, on a bad line, by a clumsy hand. */
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { SHUTTER_CONDITIONS } from '../../app/practice/conditions.ts';
import { PRACTICE_MARKS } from '../../app/practice/marks.ts';
import type { BenchPage } from '../browser/bench-page.ts';
import type { Board } from '../rig/board.ts';
import { seededRandom } from '../seeded-random.ts';
import type { Fired } from './true-readings.ts';

export interface BenchDayOptions {
  readonly seed: number;
  readonly pace: number;
}

/** Emulated seconds from one pull of the cable or reset to the next, on average. */
const MISHAP_EVERY = 60;
const SELECTABLE = PRACTICE_MARKS.map(({ label }) => label);
/** A board that was reset says nothing for half a second, and the page that it is live for as long. */
const NOTICED_MS = 1500;
/** Jobs between trials of the fast rate by the user's wish. */
const FAST_RATE_EVERY = 5;
const ARMED_MS = 10_000;
const LIVE_MS = 60_000;
/** After the end of a firing the page shows it within 0.15 s; a page that is slow gets twenty times that. */
const SHOWN_MS = 3000;

export class BenchDay {
  readonly counts = { pulls: 0, resets: 0, clicks: 0, jobs: 0, unseen: 0, dropped: 0, stumbles: 0 };
  stumblesInARow = 0;
  /** What a user would tell of. */
  readonly notes: string[] = [];
  /** Every firing that has ended, in order, and when it was ordered. */
  readonly fired: Fired[] = [];
  #orderedAt = 0;
  readonly #random: () => number;
  #dial = '';
  #nextMishap = MISHAP_EVERY;
  #dropped = 0;

  constructor(
    readonly board: Board,
    readonly bench: BenchPage,
    readonly options: BenchDayOptions,
  ) {
    this.#random = seededRandom(options.seed);
    board.on('fired', (truth) => this.fired.push({ orderedAt: this.#orderedAt, truth }));
    board.on('line', ({ dropped }) => {
      // Counted from zero by each new line.
      this.counts.dropped += Math.max(0, dropped - this.#dropped);
      this.#dropped = dropped;
    });
  }

  /** Seconds that the board has run for, as of the latest firing. */
  get seconds(): number {
    return (this.board.firings.at(-1)?.startCycle ?? 0) / CLOCK_HZ;
  }

  async connect(): Promise<void> {
    const { bench } = this;
    await bench.open('start');
    await bench.page.click('[data-action=connect]');
    await this.#appears('[data-board=live]', LIVE_MS);
    await bench.open('bench');
  }

  /** Which rate is in use; empty while no board is live. */
  async rate(): Promise<string> {
    return (
      (await this.bench.page
        .locator('[data-board] [data-rate-in-use]')
        .first()
        .textContent({ timeout: 5000 })
        .catch(() => '')) ?? ''
    )
      .replace(/[^a-z ]/g, '')
      .replace('rate', '')
      .trim();
  }

  /** The job before is looked at from all sides, as before handing the camera out; then the next one is opened. */
  async nextJob(): Promise<void> {
    const { bench, counts } = this;
    if (counts.jobs > 0) {
      for (const screen of ['results', 'camera', 'certificate', 'checks'] as const) {
        await bench.open(screen);
        await this.#pause(300);
      }
      if (counts.jobs % FAST_RATE_EVERY === 0) await this.#tryFastRate();
    }
    counts.jobs++;
    await bench.newJob({ customer: `Customer ${counts.jobs} (invented)` });
    await bench.open('bench');
    this.#dial = '';
  }

  /** On a bad line the page has gone down to the normal rate, and will again. */
  async #tryFastRate(): Promise<void> {
    const { bench } = this;
    await bench.open('settings');
    await bench.page.click('[data-part=boards]');
    const again = bench.page.locator('[data-action=try-fast-rate]');
    if ((await again.count()) === 0) return;
    await again.click();
    await this.#pause(500);
    await this.#appears('[data-board=live]', LIVE_MS).catch(() => this.#connectAgain());
  }

  /** One firing, and whatever goes wrong with it. */
  async fireOnce(): Promise<void> {
    await this.#prepare();
    await this.#appears('[data-board=live]', LIVE_MS).catch(() => this.#connectAgain());
    await this.#appears('[data-eye=armed]', ARMED_MS).catch(() => undefined);
    const before = await this.bench.shownId();
    const isMishap = this.seconds > this.#nextMishap;
    const mishap = isMishap && this.#chance(0.7) ? this.#pause(400 * this.#random()) : null;
    const firing = this.#fire();
    if (mishap) await mishap.then(() => this.#mishap());
    const seen = await firing;
    if (isMishap && !mishap) await this.#mishap();
    if (isMishap) this.#nextMishap = this.seconds - MISHAP_EVERY * Math.log(1 - this.#random());
    if (!seen || mishap) return;
    const shown = `[data-reading]:not([data-reading="${before}"]):not([data-kept=provisional]):not([data-kept=writing])`;
    await this.#appears(shown, SHOWN_MS).catch(() => {
      this.counts.unseen++;
    });
  }

  async #prepare(): Promise<void> {
    if (this.#chance(0.15)) await this.board.setCondition(this.#one(SHUTTER_CONDITIONS));
    if (this.#dial !== '' && this.#chance(0.5)) return;
    // Slow marks would take most of the day.
    this.#dial = this.#chance(0.1) ? this.#one(SELECTABLE) : this.#one(SELECTABLE.slice(3));
    await this.board.setDial(this.#dial);
    await this.bench.setMark(this.#dial);
  }

  /** Answers whether any light came. */
  async #fire(): Promise<boolean> {
    const { board } = this;
    const number = board.firings.length;
    this.#orderedAt = Date.now();
    const ended = () => board.firings.length > number;
    if (this.#dial === 'B') {
      await board.press();
      await this.#pause(1500 * this.#random());
      await board.letGo();
    } else await board.fire();
    if (!ended()) await this.#pause(200);
    if (!ended()) {
      // It stands open; sooner or later somebody frees the blades.
      await this.#pause(2000 * this.#random());
      await board.freeBlades();
    }
    while (!ended()) await new Promise((resolve) => board.once('fired', resolve));
    return board.firings[number]!.plan.outcome !== 'does not fire';
  }

  async #mishap(): Promise<void> {
    if (this.#chance(0.4)) {
      this.counts.resets++;
      await this.board.reset();
      await this.#pause(NOTICED_MS);
    } else {
      this.counts.pulls++;
      await this.board.unplug();
      this.#dropped = 0;
      await this.#pause(300 + 2500 * this.#random());
      await this.board.plug();
    }
    await this.#appears('[data-board=live]', LIVE_MS).catch(() => this.#connectAgain());
  }

  /** The page has given up: the user goes to the start screen and connects. */
  async #connectAgain(): Promise<void> {
    this.counts.clicks++;
    const sentence = await this.bench.page.getAttribute('[data-board]', 'title');
    this.notes.push(`connected by a click: ${await this.bench.boardWords()}. ${sentence ?? ''}`);
    await this.connect();
  }

  /** Without a handle: see BenchPage. */
  async #appears(selector: string, timeout: number): Promise<void> {
    await this.bench.page.locator(selector).first().waitFor({ timeout });
  }

  #pause(emulatedMilliseconds: number): Promise<void> {
    return new Promise((resolve) => setTimeout(resolve, emulatedMilliseconds / this.options.pace));
  }

  #chance(probability: number): boolean {
    return this.#random() < probability;
  }

  #one<Value>(of: readonly Value[]): Value {
    return of[Math.floor(this.#random() * of.length)]!;
  }
}
