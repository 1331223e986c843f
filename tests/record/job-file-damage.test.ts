import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeJobFile } from '../../app/record/job-file.ts';
import { JobFileError } from '../../app/record/job-file-error.ts';
import { linesOf, packed, partsText, richRecord } from './job-file-rig.ts';

let file: Uint8Array<ArrayBuffer>;
let lines: string[];
let content: string;

beforeAll(async () => {
  const written = (await writeJobFile(await richRecord(), ['job-1'])).file;
  file = new Uint8Array(await written.arrayBuffer());
  lines = await linesOf(written);
  content = await partsText(written);
});

/** True when it is refused with a sentence; a damaged file that is taken holds what it held before. */
async function refused(damaged: Blob): Promise<boolean> {
  try {
    expect(await partsText(damaged)).toBe(content);
    return false;
  } catch (error) {
    if (!(error instanceof JobFileError)) throw error;
    expect(error.message).toMatch(/^[A-Z].*\.$/s);
    return true;
  }
}

describe('damaged files of jobs', () => {
  it('each byte flipped in turn: refused, or the same content', async () => {
    let passed = 0;
    for (const at of file.keys()) {
      const damaged = file.slice();
      damaged[at]! ^= 1 << (at % 8);
      if (!(await refused(new Blob([damaged])))) passed += 1;
    }
    // Only the ten bytes of the gzip header hold anything that no content depends on.
    expect(passed).toBeLessThanOrEqual(10);
  });

  it('bytes changed, lost, doubled or put in, and ends cut off', async () => {
    const byte = fc.nat({ max: 255 });
    const damage = fc.tuple(
      fc.constantFrom('set', 'cut', 'drop', 'insert', 'double'),
      fc.nat(),
      byte,
      fc.nat(300),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(damage, { minLength: 1, maxLength: 4 }), async (damages) => {
        let bytes: number[] = [...file];
        for (const [how, where, value, length] of damages) {
          const at = bytes.length === 0 ? 0 : where % bytes.length;
          if (how === 'set') bytes[at] = value;
          else if (how === 'cut') bytes = bytes.slice(0, at);
          else if (how === 'drop') bytes.splice(at, length);
          else if (how === 'insert') bytes.splice(at, 0, value);
          else bytes.splice(at, 0, ...bytes.slice(at, at + length));
        }
        await refused(new Blob([Uint8Array.from(bytes)]));
      }),
      { numRuns: 500, seed: 4 },
    );
  });

  it('a character changed within a line and packed again: never taken for a firing of no job', async () => {
    // Here no checksum helps: what is taken must at least pass the schema door and hang together.
    await fc.assert(
      fc.asyncProperty(fc.nat(), fc.nat(), fc.nat({ max: 127 }), async (line, column, code) => {
        const at = line % lines.length;
        const text = lines[at]!;
        const place = column % text.length;
        const character = String.fromCharCode(code);
        const changed = `${text.slice(0, place)}${character}${text.slice(place + 1)}`;
        await partsText(packed(lines.with(at, changed))).catch((error: unknown) => {
          if (!(error instanceof JobFileError)) throw error;
        });
      }),
      { numRuns: 500, seed: 5 },
    );
  });
});
