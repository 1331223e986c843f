/**
 * The table of allowed imports, and the check of a set of files against it. Data goes one way through the
 * house: firmware-protocol ← practice ← link ← measure ← judge ← record ← certificate ← screens.
 */
import path from 'node:path';
import { type Reference, referencesOf } from './references.ts';

interface Room {
  /** Folders, or single files, that the room may import from besides itself. */
  readonly rooms: readonly string[];
  /** Packages; 'node:' stands for everything that Node brings along. */
  readonly packages: readonly string[];
  /** No DOM, no clock, no randomness: the same samples always give the same figures. */
  readonly pure?: true;
}

const EVERY_ROOM = [
  'firmware-protocol',
  'app/practice',
  'app/link',
  'app/measure',
  'app/judge',
  'app/record',
  'app/certificate',
  'app/screens',
];

const DISTRIBUTIONS = ['chisquare-quantile', 'f-cdf', 'normal-cdf', 't-cdf', 't-quantile'].map(
  (name) => `@stdlib/stats-base-dists-${name}`,
);

/** A file belongs to the longest name here that its path begins with. */
const HOUSE: Readonly<Record<string, Room>> = {
  'firmware-protocol': { rooms: [], packages: [] },
  'app/practice': { rooms: ['firmware-protocol'], packages: ['avr8js'] },
  'app/link': { rooms: ['firmware-protocol', 'app/practice'], packages: ['web-serial-polyfill'] },
  'app/measure': { rooms: ['firmware-protocol', 'app/link/stream.ts'], packages: [], pure: true },
  'app/judge': { rooms: ['firmware-protocol', 'app/measure'], packages: DISTRIBUTIONS, pure: true },
  'app/record': {
    rooms: ['firmware-protocol', 'app/measure', 'app/judge'],
    packages: ['idb', 'valibot'],
  },
  'app/certificate': {
    rooms: ['firmware-protocol', 'app/measure', 'app/judge', 'app/record'],
    packages: ['pdfkit', 'dejavu-fonts-ttf'],
  },
  'app/screens': { rooms: EVERY_ROOM, packages: ['preact', 'zustand', 'uplot'] },
  'app/main.tsx': { rooms: EVERY_ROOM, packages: ['preact'] },
  'app/headers.ts': { rooms: [], packages: [] },
  'app/serving.ts': { rooms: ['app/headers.ts'], packages: ['vite'] },
  'app/serve.ts': { rooms: ['app/serving.ts', 'app/vite.config.ts'], packages: ['vite', 'node:'] },
  'app/replay.ts': { rooms: ['firmware-protocol', 'app/link', 'app/measure'], packages: ['node:'] },
};

const CLOCK_AND_CHANCE = ['Date', 'Math.random', 'performance', 'crypto', 'globalThis', 'setTimeout'];

/** What is against the table, one sentence for each. `files`: path from the repository's root → source. */
export function violations(files: ReadonlyMap<string, string>): string[] {
  return [...files].flatMap(([file, source]) => {
    const home = roomOf(file);
    const room = home === undefined ? undefined : HOUSE[home];
    if (home === undefined || !room) return [`${file} belongs to no room of the table`];
    const { references, used, onlyPassesOn } = referencesOf(file, source);
    const found = references.flatMap((reference) => objection(file, home, room, reference) ?? []);
    if (onlyPassesOn) found.push('only passes on what other files export');
    if (room.pure)
      found.push(...CLOCK_AND_CHANCE.filter((name) => used.has(name)).map((name) => `uses ${name}`));
    return found.map((sentence) => `${file} ${sentence}`);
  });
}

function objection(file: string, home: string, room: Room, reference: Reference): string | null {
  const { target } = reference;
  if (target === null) return 'imports something that is only known when it runs';
  if (!target.startsWith('.')) {
    if (room.packages.includes(packageOf(target))) return null;
    return `imports the package ${packageOf(target)}`;
  }
  const resolved = path.posix.join(path.posix.dirname(file), target.replace(/\?.*$/, ''));
  const allowed = [home, ...room.rooms].some((name) => resolved === name || resolved.startsWith(`${name}/`));
  return allowed ? null : `imports ${resolved}`;
}

function roomOf(file: string): string | undefined {
  const matches = Object.keys(HOUSE).filter((name) => file === name || file.startsWith(`${name}/`));
  return matches.sort((a, b) => b.length - a.length)[0];
}

/** '@scope/name/deep/file.js' → '@scope/name'. */
function packageOf(target: string): string {
  if (target.startsWith('node:')) return 'node:';
  return target
    .split('/')
    .slice(0, target.startsWith('@') ? 2 : 1)
    .join('/');
}
