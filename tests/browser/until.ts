import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/**
 * Waits until the page answers true. For questions that take the page time: the driver's own waitForFunction takes
 * the promise of an async function for a yes.
 */
export const until = (page: Page, answer: () => Promise<boolean>): Promise<void> =>
  expect.poll(() => page.evaluate(answer), { timeout: 120_000, interval: 50 }).toBe(true);
