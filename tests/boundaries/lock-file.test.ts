/** What `npm ci` fetches: from one registry, whole or not at all, and nothing of it runs while it is installed. */
import fs from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';

interface LockedPackage {
  readonly version?: string;
  readonly resolved?: string;
  readonly integrity?: string;
  readonly hasInstallScript?: true;
  readonly link?: true;
  readonly inBundle?: true;
}

/** Why each package with an install script does without it. */
const DOES_WITHOUT_ITS_SCRIPT: Readonly<Record<string, string>> = {
  'node_modules/esbuild':
    'its script replaces a launcher by the program itself, which comes as an optional package of its own',
};

const ROOT = path.join(import.meta.dirname, '../..');
const read = (name: string) => fs.readFileSync(path.join(ROOT, name), 'utf8');
const manifest = JSON.parse(read('package.json'));
const lock = JSON.parse(read('package-lock.json')) as { packages: Record<string, LockedPackage> };

/** What is wrong with a lock file, one sentence for each. An address may be left out: then it is the registry's. */
function objections(packages: Readonly<Record<string, LockedPackage>>): string[] {
  return Object.entries(packages)
    .filter(([place]) => place !== '')
    .flatMap(([place, { resolved, integrity, hasInstallScript, link, inBundle }]) => {
      const found: string[] = [];
      if (link) found.push('is a link');
      if (resolved !== undefined && !resolved.startsWith('https://registry.npmjs.org/'))
        found.push(`comes from ${resolved}`);
      if (!inBundle && !/^sha512-[A-Za-z0-9+/]{86}==$/.test(integrity ?? '')) found.push('has no SHA-512');
      if (hasInstallScript && !(place in DOES_WITHOUT_ITS_SCRIPT)) found.push('wants to run a script');
      return found.map((sentence) => `${place} ${sentence}`);
    });
}

describe('the lock file', () => {
  it('names packages of the registry alone, each with its SHA-512, and none that must run anything', () => {
    expect(Object.keys(lock.packages).length).toBeGreaterThan(100);
    expect(objections(lock.packages)).toEqual([]);
  });

  const integrity = `sha512-${'A'.repeat(86)}==`;
  it.each([
    [
      'comes from git+ssh://git@example.org/a.git#1',
      { resolved: 'git+ssh://git@example.org/a.git#1', integrity },
    ],
    ['comes from http://registry.npmjs.org/a', { resolved: 'http://registry.npmjs.org/a', integrity }],
    ['has no SHA-512', { version: '1.0.0' }],
    ['has no SHA-512', { integrity: 'sha1-2jmj7l5rSw0yVb/vlWAYkK/YBwk=' }],
    ['wants to run a script', { integrity, hasInstallScript: true as const }],
    ['is a link', { integrity, link: true as const }],
  ])('would be refused where a package %s', (sentence, planted) => {
    expect(objections({ 'node_modules/planted': planted })).toEqual([`node_modules/planted ${sentence}`]);
  });

  it('gives every direct dependency the one version that package.json names', () => {
    const direct: [string, string][] = Object.entries({
      ...manifest.dependencies,
      ...manifest.devDependencies,
    });
    for (const [name, version] of direct) {
      expect(version, name).toMatch(/^\d+\.\d+\.\d+$/);
      expect(lock.packages[`node_modules/${name}`]?.version, name).toBe(version);
    }
  });
});

describe('scripts of packages', () => {
  it('never run: .npmrc turns them off, and package.json says so of each by name', () => {
    expect(read('.npmrc')).toMatch(/^ignore-scripts=true$/m);
    const names = Object.keys(DOES_WITHOUT_ITS_SCRIPT).map((place) => place.replace('node_modules/', ''));
    expect(manifest.allowScripts).toEqual(Object.fromEntries(names.map((name) => [name, false])));
  });

  it('have their reasons listed only as long as they are there', () => {
    for (const place of Object.keys(DOES_WITHOUT_ITS_SCRIPT))
      expect(lock.packages[place]?.hasInstallScript, place).toBe(true);
  });
});
