/** The walls between the rooms stand, and each alarm goes off when a wall is breached on purpose. */
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { violations } from './rooms.ts';

const ROOT = path.join(import.meta.dirname, '../..');
const planted = (file: string, source: string) => violations(new Map([[file, source]]));

/** The source of the house, without the configuration of its builder, which imports nothing of the house. */
function sources(): Map<string, string> {
  const found = new Map<string, string>();
  for (const folder of ['app', 'firmware-protocol']) {
    for (const name of fs.readdirSync(path.join(ROOT, folder), { recursive: true, encoding: 'utf8' })) {
      const file = path.posix.join(folder, name);
      if (/\.tsx?$/.test(file) && file !== 'app/vite.config.ts')
        found.set(file, fs.readFileSync(path.join(ROOT, file), 'utf8'));
    }
  }
  return found;
}

describe('imports between rooms', () => {
  it('keep to the table', () => {
    const files = sources();
    expect(files.size).toBeGreaterThan(10);
    expect(violations(files)).toEqual([]);
  });

  it.each([
    ['a value', "import { saveJob } from '../record/database.ts';"],
    ['a type', "import type { Job } from '../record/database.ts';"],
    ['a type in passing', "export type J = import('../record/database.ts').Job;"],
    ['a later import', "export const later = () => import('../record/database.ts');"],
    ['a re-export', "export const own = 1; export { saveJob } from '../record/database.ts';"],
    ['everything', "export const own = 1; export * from '../record/database.ts';"],
    ['a worker', "new Worker(new URL('../record/database.ts', import.meta.url), { type: 'module' });"],
    ['raw text', "import text from '../record/database.ts?raw';"],
  ])('against the stream are reported: %s', (_, source) => {
    expect(planted('app/measure/planted.ts', source)).toEqual([
      'app/measure/planted.ts imports app/record/database.ts',
    ]);
    expect(planted('app/screens/planted.ts', source)).toEqual([]);
  });

  it('from link to measure are allowed for the stream and nothing else', () => {
    expect(planted('app/measure/a.ts', "import type { Gap } from '../link/stream.ts';")).toEqual([]);
    expect(planted('app/measure/a.ts', "import type { Session } from '../link/session.ts';")).toEqual([
      'app/measure/a.ts imports app/link/session.ts',
    ]);
  });

  it('from the tests, or from outside the house, are reported', () => {
    expect(planted('app/screens/a.ts', "import { Rig } from '../../tests/rig/rig.ts';")).toHaveLength(1);
    expect(planted('app/elsewhere/a.ts', '')).toEqual(['app/elsewhere/a.ts belongs to no room of the table']);
  });

  it('of a package are allowed only where the table has it', () => {
    expect(planted('app/screens/a.tsx', "import { render } from 'preact';")).toEqual([]);
    expect(planted('app/judge/a.ts', "import { useState } from 'preact/hooks';")).toEqual([
      'app/judge/a.ts imports the package preact',
    ]);
    expect(planted('app/measure/a.ts', "import fs from 'node:fs';")).toEqual([
      'app/measure/a.ts imports the package node:',
    ]);
  });

  it('that cannot be checked are reported', () => {
    expect(planted('app/record/a.ts', 'export const load = (name: string) => import(name);')).toEqual([
      'app/record/a.ts imports something that is only known when it runs',
    ]);
  });

  it('are not bundled up in a file that only passes on', () => {
    expect(planted('app/judge/all.ts', "export * from './verdict.ts';")).toEqual([
      'app/judge/all.ts only passes on what other files export',
    ]);
  });
});

describe('measure and judge are pure', () => {
  it.each(['Date.now()', 'new Date()', 'Math.random()', 'performance.now()', 'globalThis'])(
    'clock and chance are reported: %s',
    (expression) => {
      for (const room of ['measure', 'judge']) {
        expect(planted(`app/${room}/planted.ts`, `export const value = ${expression};`)).toHaveLength(1);
      }
      expect(planted('app/screens/planted.ts', `export const value = ${expression};`)).toEqual([]);
    },
  );
});

describe('the tools that guard the rest', () => {
  let copy: string;
  beforeAll(() => {
    copy = fs.mkdtempSync(path.join(os.tmpdir(), 'leafclock-boundaries-'));
    for (const name of ['app', 'firmware-protocol', 'tests', 'biome.json', 'package.json', 'tsconfig.json']) {
      fs.cpSync(path.join(ROOT, name), path.join(copy, name), { recursive: true });
    }
    fs.symlinkSync(path.join(ROOT, 'node_modules'), path.join(copy, 'node_modules'));
  });
  afterAll(() => fs.rmSync(copy, { recursive: true, force: true }));

  function plant(file: string, source: string): void {
    fs.mkdirSync(path.dirname(path.join(copy, file)), { recursive: true });
    fs.writeFileSync(path.join(copy, file), source);
  }

  function run(tool: string, ...words: string[]): { status: number | null; output: string } {
    const program = path.join(ROOT, 'node_modules/.bin', tool);
    const { status, stdout, stderr } = spawnSync(program, words, { cwd: copy, encoding: 'utf8' });
    return { status, output: stdout + stderr };
  }

  it.each(['measure', 'judge'])('the compiler knows no DOM in %s', (room) => {
    const compile = () => run('tsc', '-p', `app/${room}/tsconfig.json`, '--noEmit');
    expect(compile()).toEqual({ status: 0, output: '' });
    plant(`app/${room}/planted.ts`, 'export const title = document.title;\n');
    const { status, output } = compile();
    fs.rmSync(path.join(copy, `app/${room}/planted.ts`));
    expect(status).not.toBe(0);
    expect(output).toContain(`app/${room}/planted.ts(1,22): error TS2584: Cannot find name 'document'`);
  });

  it.each([
    ['values', "import { a } from './a.ts';", 'export const b = () => a;'],
    ['types', "import type { A } from './a.ts';", 'export type B = A | number;'],
  ])('Biome finds imports of %s that go in a circle', (kind, importing, exporting) => {
    const folder = `app/judge/planted-${kind}`;
    const opposite = (text: string) =>
      text.replace(/\b[ab]\b/gi, (name) => ({ a: 'b', b: 'a', A: 'B', B: 'A' })[name] ?? name);
    plant(`${folder}/a.ts`, `${opposite(importing)}\n\n${opposite(exporting)}\n`);
    plant(`${folder}/b.ts`, `${exporting.replace(/\ba\b/i, '1')}\n`);
    const check = () => run('biome', 'ci', folder);
    expect(check()).toMatchObject({ status: 0 });
    plant(`${folder}/b.ts`, `${importing}\n\n${exporting}\n`);
    const { status, output } = check();
    expect(status).not.toBe(0);
    expect(output).toContain('noImportCycles');
  });

  it('knip finds an export that nobody uses', () => {
    plant('app/judge/planted.ts', 'export const nobodyWantsThis = 1;\n');
    fs.appendFileSync(path.join(copy, 'app/judge/verdict.ts'), "\nimport './planted.ts';\n");
    const { status, output } = run('knip', '--reporter', 'compact');
    expect(status).not.toBe(0);
    expect(output).toContain('nobodyWantsThis');
  });
});
