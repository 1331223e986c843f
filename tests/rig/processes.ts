import fs from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';

/** Processes of this machine, read from /proc. */

/** The one process whose command line satisfies `matches`. */
export function pidOf(matches: (command: readonly string[]) => boolean): number {
  const found = allPids().filter((pid) => matches(read(pid, 'cmdline').split('\0')));
  const [pid] = found;
  if (pid === undefined || found.length > 1)
    throw new Error(`Expected one such process, found ${found.length}`);
  return pid;
}

/** A process and all its descendants. */
export function familyOf(root: number): number[] {
  const family = [root];
  for (const parent of family) family.push(...allPids().filter((pid) => parentOf(pid) === parent));
  return family;
}

/** Sends a signal to a process and all its descendants; says which they were. */
export function signalTree(root: number, signal: NodeJS.Signals): number[] {
  const family = familyOf(root);
  for (const pid of family) {
    try {
      process.kill(pid, signal);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ESRCH') throw error;
    }
  }
  return family;
}

/** Waits until none of them runs any more. One that is dead but not yet reaped counts as gone. */
export async function waitUntilGone(pids: readonly number[]): Promise<void> {
  while (pids.some((pid) => !['', 'Z', 'X'].includes(stateOf(pid)))) await delay(10);
}

function allPids(): number[] {
  return fs
    .readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .map(Number);
}

function read(pid: number, file: string): string {
  try {
    return fs.readFileSync(`/proc/${pid}/${file}`, 'latin1');
  } catch {
    return ''; // it has ended meanwhile
  }
}

/** Whether it was started with this word; a process that has been forked may hold its words in one. */
export const hasWord = (pid: number, word: string): boolean => read(pid, 'cmdline').includes(word);

/** Processor time of all its threads so far; Linux counts it in hundredths of a second. */
export const processorSeconds = (pid: number): number =>
  (Number(words(pid)[11] ?? 0) + Number(words(pid)[12] ?? 0)) / 100;

/** The words of /proc/PID/stat behind the process's name, which stands in brackets: state, parent, … */
const words = (pid: number) =>
  read(pid, 'stat')
    .replace(/^.*\) /s, '')
    .split(' ');
const stateOf = (pid: number) => words(pid)[0] ?? '';
const parentOf = (pid: number) => Number(words(pid)[1]);
