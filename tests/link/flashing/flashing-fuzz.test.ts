import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findAnswer } from '../../../app/link/flashing/stk500.ts';
import { fuzzFlashing, TROUBLE_NAMES } from './flashing-fuzz.ts';

/** The same cases in every run. */
const SEED = 20_261_125;

describe('success is claimed only when the board holds the image', () => {
  it.each(TROUBLE_NAMES)('%s', async (trouble) => {
    await fc.assert(
      fc.asyncProperty(fc.nat(), async (seed) => {
        const { bootLoaderWrites, addressesAbove } = await fuzzFlashing(trouble, seed);
        expect(addressesAbove).toBe(0);
        // A damaged address may ask for the boot loader; its lock bits then refuse. Damaged answers never do that.
        if (trouble !== 'commands damaged, too') expect(bootLoaderWrites).toBe(0);
      }),
      { seed: SEED, numRuns: 40 },
    );
  });
});

describe('an answer', () => {
  const bytes = fc.uint8Array({ maxLength: 40 });

  it('is found behind anything that holds no beginning of one', () => {
    fc.assert(
      fc.property(
        bytes.map((stray) => stray.map((byte) => (byte === 0x14 ? 0 : byte))),
        bytes,
        bytes,
        (stray, data, after) => {
          const received = Uint8Array.of(...stray, 0x14, ...data, 0x10, ...after);
          expect(findAnswer(received, data.length)).toEqual({ data, stray: stray.length });
        },
      ),
      { seed: SEED },
    );
  });

  it('is found as soon as it is whole and not before', () => {
    fc.assert(
      fc.property(bytes, (data) => {
        const answer = Uint8Array.of(0x14, ...data, 0x10);
        for (let length = 0; length < answer.length; length++)
          expect(findAnswer(answer.subarray(0, length), data.length)).toBeNull();
        expect(findAnswer(answer, data.length)).not.toBeNull();
      }),
      { seed: SEED },
    );
  });

  it('is never anything but what came between its two marks', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.constantFrom(0x14, 0x10), fc.nat(255)), { maxLength: 60 }),
        fc.nat(6),
        (received, length) => {
          const found = findAnswer(Uint8Array.from(received), length);
          if (!found) return;
          const place = received.slice(found.stray, found.stray + length + 2);
          expect(place).toEqual([0x14, ...found.data, 0x10]);
        },
      ),
      { seed: SEED },
    );
  });

  it('after a false start is looked for from the next byte on', () => {
    expect(findAnswer(Uint8Array.of(0x14, 0x14, 0x10), 0)).toEqual({ data: new Uint8Array(0), stray: 1 });
    expect(findAnswer(Uint8Array.of(0x14, 0x7f, 0x14, 0x1e, 0x95, 0x0f, 0x10), 3)).toEqual({
      data: Uint8Array.of(0x1e, 0x95, 0x0f),
      stray: 2,
    });
  });
});
