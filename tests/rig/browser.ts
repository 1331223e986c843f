import fs from 'node:fs';
import path from 'node:path';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { launchAsOnADesk } from './desk-browser.ts';
import type { PortIdentity } from './port-list.ts';
import { familyOf, hasWord, pidOf, signalTree, waitUntilGone } from './processes.ts';

export interface BrowserOptions {
  /** Profile directory; created if it isn't there, kept as it is otherwise. */
  readonly profile: string;
  /** The only origin that the pages may talk to, and the one that has leave to use the ports. */
  readonly origin: string;
  readonly granted: readonly PortIdentity[];
  /** Environment that puts the stand-in libudev in its place. */
  readonly environment: Readonly<Record<string, string>>;
  /** Pages may be hidden and their timers throttled, as on a desk: see desk-browser.ts. */
  readonly asOnADesk?: boolean;
}

/** A real Chromium, headless, with ports already granted: its chooser can't be worked without a screen. */
export class Browser {
  readonly profile: string;
  readonly context: BrowserContext;
  /** The page that Chromium starts with. */
  readonly page: Page;
  /** Uncaught errors and console errors of all pages, in order. A test may expect it to be empty. */
  readonly complaints: string[] = [];
  /** Requests to another origin than the one named: there must be none. */
  readonly foreignRequests: string[] = [];
  readonly #end: () => Promise<void>;

  private constructor(
    context: BrowserContext,
    page: Page,
    options: BrowserOptions,
    end = () => context.close(),
  ) {
    this.context = context;
    this.page = page;
    this.#end = end;
    this.profile = options.profile;
    context.on('weberror', (error) => this.complaints.push(String(error.error().stack ?? error.error())));
    context.on('console', (message) => {
      if (message.type() === 'error' && !DRIVERS_OWN.test(message.text()))
        this.complaints.push(message.text());
    });
    context.on('request', (request) => {
      const url = new URL(request.url());
      const local = ['data:', 'blob:', 'about:'].includes(url.protocol);
      if (!local && url.origin !== options.origin) this.foreignRequests.push(request.url());
    });
  }

  static async launch(options: BrowserOptions): Promise<Browser> {
    grant(options.profile, options.origin, options.granted);
    const env = { ...process.env, ...options.environment };
    if (options.asOnADesk) {
      const desk = await launchAsOnADesk(findChromium(), [...ARGUMENTS], options.profile, env);
      return new Browser(desk.context, desk.page, options, desk.end);
    }
    const context = await chromium.launchPersistentContext(options.profile, {
      executablePath: findChromium(),
      env,
      viewport: { width: 1280, height: 720 },
      args: [...ARGUMENTS],
    });
    return new Browser(context, context.pages()[0] ?? (await context.newPage()), options);
  }

  /** Pulls the plug: SIGKILL to the browser and every process it started. Nothing gets to say goodbye. */
  async kill(): Promise<void> {
    const closed = new Promise((resolve) => this.context.once('close', resolve));
    const gone = this.#signal('SIGKILL');
    await closed;
    await waitUntilGone(gone);
  }

  /** The computer sleeps: no process of the browser runs, while the rest of the world goes on. */
  sleep(): void {
    this.#signal('SIGSTOP');
  }

  wake(): void {
    this.#signal('SIGCONT');
  }

  async close(): Promise<void> {
    await this.#end();
  }

  /** Those that run pages, and all of the browser. */
  processes(): { readonly ofPages: readonly number[]; readonly all: readonly number[] } {
    const all = familyOf(this.#pid());
    return { ofPages: all.filter((pid) => hasWord(pid, '--type=renderer')), all };
  }

  #signal(signal: NodeJS.Signals): number[] {
    return signalTree(this.#pid(), signal);
  }

  #pid(): number {
    return pidOf((command) => isBrowserOf(command, this.profile));
  }
}

/** The driver works by eval: the browser lets it, and complains. An eval of the page's own is a second complaint. */
const DRIVERS_OWN = /requires 'TrustedScript' assignment/;

const ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
  // A camera that shows a moving pattern; a page still has to ask for leave to use it.
  '--use-fake-device-for-media-stream',
];

const isBrowserOf = (command: readonly string[], profile: string) =>
  command.includes(`--user-data-dir=${profile}`) && !command.some((word) => word.startsWith('--type='));

const USUAL_PLACES = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
];

/** The browser to test with: CHROMIUM if it is set, else the first in the usual places. */
function findChromium(): string {
  const given = process.env.CHROMIUM;
  const names = given ? [given] : USUAL_PLACES;
  for (const name of names) {
    for (const directory of name.includes('/') ? [''] : (process.env.PATH ?? '').split(':')) {
      const file = path.join(directory, name);
      if (fs.statSync(file, { throwIfNoEntry: false })?.isFile()) return file;
    }
  }
  throw new Error(`No browser found (looked for ${names.join(', ')}). Install chromium or set CHROMIUM`);
}

/** Writes the permission where Chromium keeps it, unless this profile has one for the origin already. */
function grant(profile: string, origin: string, ports: readonly PortIdentity[]): void {
  const file = path.join(profile, 'Default/Preferences');
  const text = fs.existsSync(file) ? fs.readFileSync(file, 'utf8') : '{}';
  const preferences = JSON.parse(text);
  preferences.profile ??= {};
  preferences.profile.content_settings ??= {};
  preferences.profile.content_settings.exceptions ??= {};
  const exceptions = preferences.profile.content_settings.exceptions;
  exceptions.serial_chooser_data ??= {};
  if (exceptions.serial_chooser_data[`${origin},*`]) return;
  exceptions.serial_chooser_data[`${origin},*`] = {
    last_modified: '13350000000000000', // any date will do: microseconds since 1601
    setting: {
      'chosen-objects': ports.map((port) => ({
        name: port.product,
        vendor_id: port.vendorId,
        product_id: port.productId,
        serial_number: port.serialNumber,
      })),
    },
  };
  fs.mkdirSync(path.dirname(file), { recursive: true });
  fs.writeFileSync(file, JSON.stringify(preferences));
}
