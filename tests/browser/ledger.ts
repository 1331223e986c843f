/** What the shutters of the rig really did, against what the page has kept of it. */
import { expect } from 'vitest';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { Board } from '../rig/board.ts';
import type { BenchPage, KeptFiring } from './bench-page.ts';

export class Ledger {
  readonly #truths: TrueFiring[] = [];
  readonly #recorded = new Set<string>();
  readonly #bench: BenchPage;

  /** Make it before the first firing. */
  constructor(bench: BenchPage, ...boards: readonly Board[]) {
    this.#bench = bench;
    for (const board of boards) board.on('fired', (firing) => this.#truths.push(firing));
  }

  /** Fires, and waits until the page shows the firing as recorded. */
  async fire(board: Board): Promise<KeptFiring> {
    const { id } = await this.#bench.fire(board);
    const kept = await this.check();
    expect([...this.#recorded]).toContain(id);
    return kept.find((firing) => firing.id === id)!;
  }

  /**
   * Every firing kept as good is one that took place, in the order in which they did, measured right; and every
   * firing that was ever seen as kept is kept still.
   */
  async check(): Promise<readonly KeptFiring[]> {
    const kept = await this.#bench.kept();
    const ids = kept.map(({ id }) => id);
    for (const id of this.#recorded) expect(ids).toContain(id);
    for (const id of ids) this.#recorded.add(id);
    let from = 0;
    for (const { ordinal, firing, figures } of kept) {
      if (firing.spoilt !== null) continue;
      const measured = figures.effective ?? Number.NaN;
      const at = this.#truths.findIndex(
        ({ effectiveTime }, place) => place >= from && isAsExact(measured, effectiveTime),
      );
      const truths = this.#truths.slice(from).map(({ effectiveTime }) => effectiveTime);
      expect(at, `firing ${ordinal}, ${measured} s, is none of ${truths.join(', ')}`).not.toBe(-1);
      from = at + 1;
    }
    return kept;
  }
}

/** 5 µs, and 200 ppm of the time, as everywhere that the page meets the emulated board. */
const isAsExact = (measured: number, truth: number) => Math.abs(measured - truth) < 5e-6 + 2e-4 * truth;
