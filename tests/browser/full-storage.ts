import type { Browser } from '../rig/browser.ts';

/** Lets the origin use so many bytes; null: as many as it likes again. */
export async function limitStorage(browser: Browser, origin: string, bytes: number | null): Promise<void> {
  const devtools = await browser.context.newCDPSession(browser.page);
  await devtools.send('Storage.overrideQuotaForOrigin', {
    origin,
    ...(bytes === null ? {} : { quotaSize: bytes }),
  });
  // The new limit holds once it has been asked for.
  if (bytes !== null) await devtools.send('Storage.getUsageAndQuota', { origin });
}
