import type { Browser } from '../rig/browser.ts';

/**
 * Lets the origin use so many bytes; null: as many as it likes again. A browser that has found plenty of room doesn't
 * ask again for a while: what must fail at once needs the limit before the page first writes.
 */
export async function limitStorage(browser: Browser, origin: string, bytes: number | null): Promise<void> {
  const devtools = await browser.context.newCDPSession(browser.page);
  await devtools.send('Storage.overrideQuotaForOrigin', {
    origin,
    ...(bytes === null ? {} : { quotaSize: bytes }),
  });
  // The new limit holds once it has been asked for.
  if (bytes !== null) await devtools.send('Storage.getUsageAndQuota', { origin });
}
