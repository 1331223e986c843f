/** How much of its time the board's processor is busy, counted in emulated cycles. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const SOURCE = fileURLToPath(new URL('../../firmware-protocol/atmega328p', import.meta.url));

/** A symbol of the firmware: byte address, in program memory or from 0x800000 on in data memory. */
export type Symbols = ReadonlyMap<string, number>;

/** Builds the firmware beside the committed one and asks for its symbols. */
export function firmwareSymbols(): Symbols {
  const folder = mkdtempSync(join(tmpdir(), 'leafclock-symbols-'));
  try {
    execFileSync('make', ['-s', '-C', SOURCE, `BUILD=${folder}`], { stdio: 'pipe' });
    if (!readFileSync(join(folder, 'tester.hex')).equals(readFileSync(join(SOURCE, 'tester.hex')))) {
      throw new Error('tester.hex is not what its sources build');
    }
    const lines = execFileSync('avr-nm', [join(folder, 'tester.elf')], { encoding: 'utf8' }).split('\n');
    const parts = lines.map((line) => line.split(' ')).filter((part) => part.length === 3);
    return new Map(parts.map(([address, , name]) => [name!, Number.parseInt(address!, 16)]));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What is needed of a board. */
interface Stepped {
  readonly cycle: number;
  readonly programCounter: number;
  readonly stackPointer: number;
  run(untilCycle: number): void;
}

/**
 * Share of the time in which the processor does more than ask, round after round of the main loop, whether there is
 * anything to do. A round that finds nothing takes a certain number of cycles; so many for each round are idle, the
 * rest is work. Runs the board on for `cycles`.
 */
export function busyShare(board: Stepped, symbols: Symbols, cycles: number): number {
  /** Called once in each round of the main loop, and from nowhere else. */
  const inEachRound = symbols.get('edges_resume')! / 2;
  const from = board.cycle;
  let rounds = 0;
  let roundBegan = Number.NEGATIVE_INFINITY;
  let emptyRound = Number.POSITIVE_INFINITY;
  while (board.cycle < from + cycles) {
    if (board.programCounter === inEachRound) {
      rounds++;
      emptyRound = Math.min(emptyRound, board.cycle - roundBegan);
      roundBegan = board.cycle;
    }
    board.run(board.cycle + 1);
  }
  return 1 - (rounds * emptyRound) / (board.cycle - from);
}
