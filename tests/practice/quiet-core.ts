/** A practice shutter whose board takes no part. */
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { SLEEPING_HEX } from './tester-firmware.ts';

/** A shutter before a board that does nothing. */
export const quiet = (seed = 1) => new PracticeCore({ image: SLEEPING_HEX, seed });

export const later = (core: PracticeCore, seconds: number) => core.run(core.cycle + seconds * CLOCK_HZ);
