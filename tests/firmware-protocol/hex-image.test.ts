import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const source = fileURLToPath(new URL('../../firmware-protocol/atmega328p', import.meta.url));

describe('tester.hex', () => {
  it('is what its source builds, byte for byte, in two folders of unlike names', () => {
    const committed = readFileSync(join(source, 'tester.hex'));
    for (const prefix of ['leafclock-a-', 'leafclock-another-place-']) {
      const folder = mkdtempSync(join(tmpdir(), prefix));
      try {
        const copy = join(folder, 'source');
        cpSync(source, copy, {
          recursive: true,
          filter: (path) => !path.endsWith('.hex') && !path.endsWith('/build'),
        });
        execFileSync('make', ['-s', '-C', copy], { stdio: 'pipe' });
        expect(readFileSync(join(copy, 'tester.hex')).equals(committed)).toBe(true);
      } finally {
        rmSync(folder, { recursive: true });
      }
    }
  });

  it('ends below the boot loader and leaves the stack its room', () => {
    const folder = mkdtempSync(join(tmpdir(), 'leafclock-size-'));
    try {
      execFileSync('make', ['-s', '-C', source, `BUILD=${folder}`], { stdio: 'pipe' });
      const sizes = execFileSync('avr-size', [join(folder, 'tester.elf')], { encoding: 'utf8' }).split(
        '\n',
      )[1]!;
      const [text, data, bss] = sizes.trim().split(/\s+/).map(Number) as [number, number, number];
      // The larger of the two usual boot loaders begins at 0x7800.
      expect(text + data).toBeLessThan(0x7800);
      // RAM begins at 0x100. firmware-robustness.test.ts counts on nothing being kept from 0x610 on.
      expect(0x100 + data + bss).toBeLessThan(0x610);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
