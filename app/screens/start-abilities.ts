/** What this browser can do for the tester, and what to use instead: in words, from what was found by probing. */
import { type Surroundings, type WayIn, wayIn } from '../link/way-in.ts';

export interface AbilitySurroundings extends Surroundings {
  readonly crossOriginIsolated: boolean;
  readonly indexedDB?: unknown;
  readonly navigator: Surroundings['navigator'] & { readonly serviceWorker?: unknown };
}

/** What only an answer tells that comes later; null while it is not there. */
export interface Asked {
  /** The browser has promised to keep the record. */
  readonly lasting: boolean | null;
  /** The page is kept for work without network. */
  readonly offline: boolean | null;
}

export interface Ability {
  readonly name: 'Board' | 'Secure page' | 'Database' | 'Lasting storage' | 'Fine clock' | 'Offline';
  readonly good: 'yes' | 'partly' | 'no';
  /** What stands in its column: not the colour alone tells. */
  readonly mark: string;
  readonly words: string;
}

export function abilities(around: AbilitySurroundings, { lasting, offline }: Asked): Ability[] {
  const way = wayIn(around);
  const plain = (name: Ability['name'], has: boolean, yes: string, no: string): Ability => {
    const mark = has ? 'yes' : 'no';
    return { name, good: mark, mark, words: has ? yes : no };
  };
  return [
    board(way),
    plain(
      'Secure page',
      around.isSecureContext,
      'the browser lets the page use ports, lasting storage and a copy for work offline',
      'ports, lasting storage and work offline are kept from a page that came over plain http from another machine',
    ),
    plain(
      'Database',
      around.isSecureContext && around.indexedDB != null,
      'readings can be kept',
      'nothing can be kept: no job outlives the page',
    ),
    {
      name: 'Lasting storage',
      good: lasting ? 'yes' : 'partly',
      mark: lasting ? 'yes' : 'not promised',
      words: lasting
        ? 'the browser has promised to keep the readings'
        : 'the browser may clear everything when space is short: save it in a file, in Settings',
    },
    plain(
      'Fine clock',
      around.crossOriginIsolated,
      'the page’s clock is not coarsened',
      'the page’s clock is coarsened: the check of the board’s clock takes longer; times still come from the board',
    ),
    withoutNetwork(around.navigator.serviceWorker != null, offline),
  ];
}

function board(way: WayIn): Ability {
  switch (way.by) {
    case 'serial':
      return { name: 'Board', good: 'yes', mark: 'yes', words: 'by Web Serial, whatever USB chip it has' };
    case 'usb':
      return {
        name: 'Board',
        good: 'partly',
        mark: 'some boards',
        words:
          'over WebUSB: boards whose USB chip keeps to the class CDC; not those with a CH340, FTDI or CP210x',
      };
    case null:
      return { name: 'Board', good: 'no', mark: 'no', words: noBoard[way.since] };
  }
}

const noBoard = {
  'not secure': 'ports are kept from a page that is not secure',
  'kept from the page': 'the page was served, or framed, with a policy that keeps ports from it',
  missing: 'the browser has neither Web Serial nor WebUSB',
} as const;

function withoutNetwork(possible: boolean, offline: boolean | null): Ability {
  const name = 'Offline';
  if (!possible)
    return {
      name,
      good: 'no',
      mark: 'no',
      words: 'the page needs the network, or its server, each time it is opened',
    };
  if (offline) return { name, good: 'yes', mark: 'yes', words: 'the page works without network from now on' };
  return {
    name,
    good: 'partly',
    mark: 'not yet',
    words: 'no copy of the page is kept so far: leave it open for a moment with the network there',
  };
}

const otherBrowsers = 'a recent desktop Chrome, Edge or Firefox';

/** What to do about a board: null when every board can be connected. */
export function boardAdvice(
  way: WayIn,
): { readonly tone: 'word' | 'trouble'; readonly words: string } | null {
  if (way.by === 'serial') return null;
  if (way.by === 'usb')
    return {
      tone: 'word',
      words:
        'This browser has no Web Serial and reaches boards over USB alone: those whose USB chip keeps to the class CDC, such as ' +
        'an ATmega16U2, while no driver or program of the system holds them. For a board with a CH340, FTDI or CP210x ' +
        `chip use ${otherBrowsers}.`,
    };
  return { tone: 'trouble', words: insteadOf[way.since] };
}

const insteadOf = {
  'not secure':
    'This page came over plain http from another machine. Browsers deny such a page serial ports and lasting ' +
    'storage: nothing can be measured or kept here. Open it on the machine that serves it, at http://localhost, or ' +
    'have it served over https.',
  'kept from the page':
    'The way this page is served or framed keeps serial ports from it (Permissions-Policy). Open it in a tab of its own; ' +
    'if you serve it yourself, send the header Permissions-Policy with serial=(self).',
  missing:
    `This browser can't talk to a board. Use ${otherBrowsers}; on a phone or tablet with Android, a recent Chrome may do. ` +
    'The practice bench and recordings work here as well.',
} as const;
