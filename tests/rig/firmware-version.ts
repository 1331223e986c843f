/** Leafclock's own firmware of another version, as a board may have had it before. */
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';

const SOURCES = path.join(import.meta.dirname, '../../firmware-protocol/atmega328p');

/** The present firmware, but for the version by which it introduces itself, built in `directory`; its hex file. */
export function firmwareOfVersion(minor: number, directory: string): string {
  const copy = fs.mkdtempSync(path.join(directory, 'firmware-'));
  fs.cpSync(SOURCES, copy, { recursive: true });
  const source = path.join(copy, 'tester.c');
  const text = fs.readFileSync(source, 'latin1');
  const other = text.replace(/(#define FIRMWARE_MINOR) \d+/, `$1 ${minor}`);
  if (other === text) throw new Error(`tester.c has version ${minor} already, or tells it otherwise`);
  fs.writeFileSync(source, other);
  const build = path.join(copy, 'other');
  execFileSync('make', ['-s', '-C', copy, `BUILD=${build}`], { stdio: ['ignore', 'ignore', 'inherit'] });
  return path.join(build, 'tester.hex');
}
