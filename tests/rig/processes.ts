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

/** Kills a process and all its descendants with SIGKILL; says which they were. */
export function killTree(root: number): number[] {
  const family = [root];
  for (const parent of family) family.push(...allPids().filter((pid) => parentOf(pid) === parent));
  for (const pid of family) {
    try {
      process.kill(pid, 'SIGKILL');
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

/** The words of /proc/PID/stat behind the process's name, which stands in brackets: state, parent, … */
const words = (pid: number) =>
  read(pid, 'stat')
    .replace(/^.*\) /s, '')
    .split(' ');
const stateOf = (pid: number) => words(pid)[0] ?? '';
const parentOf = (pid: number) => Number(words(pid)[1]);
