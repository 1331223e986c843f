import { spawn } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { type BrowserContext, chromium, type Page } from 'playwright-core';

/**
 * Playwright's own way to launch keeps every page visible and its timers unthrottled. A browser that was started
 * on its own and is only listened to hides a page behind another tab, as on a desk: its timers then come once a second,
 * and after a minute once a minute.
 */
interface DeskBrowser {
  readonly context: BrowserContext;
  readonly page: Page;
  readonly end: () => Promise<void>;
}

export async function launchAsOnADesk(
  program: string,
  words: readonly string[],
  profile: string,
  env: NodeJS.ProcessEnv,
): Promise<DeskBrowser> {
  const own = ['--headless', '--remote-debugging-port=0', '--window-size=1280,800'];
  const child = spawn(program, [...words, ...own, `--user-data-dir=${profile}`, 'about:blank'], {
    env,
    stdio: 'ignore',
  });
  const ended = new Promise((resolve) => child.once('exit', resolve));
  const connection = await chromium.connectOverCDP(`http://127.0.0.1:${await portIn(profile)}`, {
    noDefaults: true,
  });
  const context = connection.contexts()[0]!;
  return {
    context,
    page: context.pages()[0]!,
    end: async () => {
      const commands = await connection.newBrowserCDPSession();
      await commands.send('Browser.close').catch(() => {}); // it may be gone before it answers
      await ended;
    },
  };
}

/** Chromium writes the port it listens at into its profile. */
async function portIn(profile: string): Promise<string> {
  const file = path.join(profile, 'DevToolsActivePort');
  for (;;) {
    const [port] = fs.existsSync(file) ? fs.readFileSync(file, 'utf8').split('\n') : [];
    if (port) return port;
    await delay(20);
  }
}
