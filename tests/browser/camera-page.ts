/** The camera's checks as the tests find them on the page. */
import type { BenchPage } from './bench-page.ts';

/** The practice shutter beside the checks. */
export const PRACTICE_CONTACT = '[aria-label="Practice contact"]';

export async function openSection(bench: BenchPage, name: string): Promise<void> {
  const { page } = bench;
  await bench.open('camera');
  await page.click(`[data-tab="${name}"]`);
  await page.waitForSelector(`[data-section-shown="${name}"]`);
}
