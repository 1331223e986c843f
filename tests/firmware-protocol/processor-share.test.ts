import { expect, it } from 'vitest';
import { busyShare, firmwareSymbols } from './processor-share.ts';
import { CYCLES_PER_MILLISECOND, TestBoard } from './test-board.ts';

// The shares in firmware-protocol/README.md, "Limits of the present firmware": counted cycles, not a measured time.
it.each([
  ['normal', 0b001, 0.45],
  ['normal', 0b111, 0.52],
  ['fast', 0b001, 0.83],
] as const)(
  'the processor is busy for no more than it is said to be: %s rate, channels %i',
  (rate, mask, share) => {
    const test = new TestBoard({ rate });
    test.greet();
    test.ask({ type: 'channels', mask });
    test.ask({ type: 'start' });
    test.run(50);
    const busy = busyShare(test.board, firmwareSymbols(), 100 * CYCLES_PER_MILLISECOND);
    expect(busy).toBeLessThanOrEqual(share);
    expect(busy).toBeGreaterThan(share - 0.06);
  },
);
