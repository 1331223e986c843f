import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';

const SOURCES = import.meta.dirname;
const OUTPUT = path.join(SOURCES, '../../build/rig');

export interface CParts {
  /** Directory that holds the stand-in libudev.so.1. */
  readonly libraries: string;
  /** The program pty-bridge. */
  readonly bridge: string;
}

/** Compiles the two C parts of the rig into build/rig, unless they are there and newer than their source. */
export function buildCParts(): CParts {
  if (process.platform !== 'linux') {
    throw new Error(
      `The serial rig needs Linux (pseudo-terminals behind libudev); this is ${process.platform}`,
    );
  }
  const map = path.join(SOURCES, 'libudev.map');
  const shared = ['-fPIC', '-shared', '-Wl,-soname,libudev.so.1', `-Wl,--version-script=${map}`];
  return {
    libraries: path.dirname(compile('lib/libudev.so.1', 'libudev-stand-in.c', shared, ['-ldl'])),
    bridge: compile('pty-bridge', 'pty-bridge.c', [], []),
  };
}

function compile(name: string, sourceName: string, flags: string[], libraries: string[]): string {
  const output = path.join(OUTPUT, name);
  const source = path.join(SOURCES, sourceName);
  if (modified(output) > modified(source)) return output;
  fs.mkdirSync(path.dirname(output), { recursive: true });
  // Renamed into place, so that two test runs at once never see a half-written file.
  const unfinished = `${output}.${process.pid}`;
  execFileSync('gcc', [
    '-std=gnu11',
    '-O2',
    '-Wall',
    '-Wextra',
    ...flags,
    '-o',
    unfinished,
    source,
    ...libraries,
  ]);
  fs.renameSync(unfinished, output);
  return output;
}

function modified(file: string): number {
  return fs.statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;
}
