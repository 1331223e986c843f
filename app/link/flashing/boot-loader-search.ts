import type { BoardLine } from './board-line.ts';
import { BOOT_LOADER_START } from './firmware-image.ts';
import { FlashError } from './firmware-report.ts';
import { ENTER_PROGRAMMING, GET_SYNC } from './stk500.ts';

/** The commoner speed first. */
const SPEEDS = Object.keys(BOOT_LOADER_START)
  .map(Number)
  .sort((a, b) => b - a);
/** Each opening is two resets: by the opening itself, and by the modem lines. */
const ROUNDS = 2;
const SYNC_TRIES = 3;
/**
 * After a reset a boot loader blinks for up to 0.4 s and then listens for about a second. While it blinks, its receiver
 * keeps two bytes, which is one question; a second one within that time would arrive mutilated, and be taken for a
 * wrong command.
 */
const SYNC_MS = 500;

/**
 * Opens the line and resets the board until a boot loader answers; baud at which it did.
 * @throws FlashError 'no boot loader'
 */
export async function findBootLoader(line: BoardLine): Promise<number> {
  for (let round = 0; round < ROUNDS; round++) {
    for (const speed of SPEEDS) {
      await line.open(speed);
      if (await resetIntoBootLoader(line)) return speed;
    }
  }
  throw new FlashError(
    'no boot loader',
    'No boot loader answered on this port, though it was tried at every speed. Is it the right port? Some boards are not reset by the computer: ' +
      'press the board’s reset button once a second while this is looking. A board that never answers has no boot loader and needs a programmer.',
  );
}

export async function resetIntoBootLoader(line: BoardLine): Promise<boolean> {
  await line.reset();
  for (let attempt = 0; attempt < SYNC_TRIES; attempt++) {
    if (await synchronise(line)) return (await line.exchange(ENTER_PROGRAMMING, 0)) !== null;
  }
  return false;
}

/**
 * Asks for synchronism, and once more so that bytes which happen to look like an answer are not taken for one: the
 * second answer must come with nothing before it.
 */
export async function synchronise(line: BoardLine): Promise<boolean> {
  const first = await line.exchange(GET_SYNC, 0, SYNC_MS);
  if (first === null) return false;
  if (first.stray > 0) await line.settle();
  const second = await line.exchange(GET_SYNC, 0, SYNC_MS);
  return second !== null && second.stray === 0;
}
