/**
 * Programs for boards, built at test time: boot loaders that hobby boards are sold with, from the source that Debian's
 * arduino-core-avr carries, and a firmware that is not ours.
 */
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';

const SOURCES = '/usr/share/arduino/hardware/arduino/avr/bootloaders';
const OUTPUT = path.join(import.meta.dirname, '../../build/rig/programs');

export interface BuiltBootLoader {
  /** Intel HEX text. */
  readonly image: string;
  /** Byte address at which it begins. */
  readonly start: number;
  /** Baud it speaks. */
  readonly baudRate: number;
}

export type BootLoaderName = 'small' | 'older';

interface Recipe {
  readonly source: string;
  readonly start: number;
  readonly baudRate: number;
  readonly flags: readonly string[];
  readonly sections: readonly string[];
}

const CHIP = ['-Wall', '-Os', '-mmcu=atmega328p', '-DF_CPU=16000000L'];

/** Flags are those of the sources' own makefiles, target atmega328. */
const RECIPES: Readonly<Record<BootLoaderName, Recipe>> = {
  small: {
    source: 'optiboot/optiboot.c',
    start: 0x7e00,
    baudRate: 115_200,
    flags: [
      ...['-fno-inline-small-functions', '-fno-split-wide-types', '-mshort-calls'],
      // Compilers newer than the source make it longer than its 512 bytes without these.
      ...['-fno-if-conversion', '-fno-move-loop-invariants', '-fno-tree-scev-cprop'],
      ...['-DLED_START_FLASHES=3', '-DBAUD_RATE=115200'],
      ...['-Wl,--section-start=.text=0x7e00', '-Wl,--section-start=.version=0x7ffe'],
      ...['-Wl,--relax', '-Wl,--gc-sections', '-nostartfiles', '-nostdlib'],
    ],
    sections: ['.text', '.data', '.version'],
  },
  older: {
    source: 'atmega/ATmegaBOOT_168.c',
    start: 0x7800,
    baudRate: 57_600,
    flags: [
      ...['-DMAX_TIME_COUNT=F_CPU>>4', '-DNUM_LED_FLASHES=1', '-DBAUD_RATE=57600'],
      '-Wl,--section-start=.text=0x7800',
    ],
    sections: ['.text', '.data'],
  },
};

/** @throws Error if the source is not installed. */
export function bootLoader(name: BootLoaderName): BuiltBootLoader {
  const { source, start, baudRate, flags, sections } = RECIPES[name];
  const file = build(`${name}-boot-loader.hex`, path.join(SOURCES, source), flags, sections);
  return { image: fs.readFileSync(file, 'latin1'), start, baudRate };
}

/** Intel HEX file of a firmware that only talks at 9600 baud (other-firmware.c). */
export const otherFirmware = (): string =>
  build('other-firmware.hex', path.join(import.meta.dirname, 'other-firmware.c'), [], ['.text', '.data']);

/** Builds into build/rig/programs, unless it is there and newer than source and recipe. */
function build(name: string, source: string, flags: readonly string[], sections: readonly string[]): string {
  if (!fs.existsSync(source))
    throw new Error(`${source} is not there: bash tests/set-up.sh installs it (Debian's arduino-core-avr)`);
  const output = path.join(OUTPUT, name);
  if (modified(output) > Math.max(modified(source), modified(import.meta.filename))) return output;
  fs.mkdirSync(OUTPUT, { recursive: true });
  const linked = `${output}.${process.pid}.elf`;
  const unfinished = `${output}.${process.pid}`;
  // Warnings of sources that are not ours are not ours to mend.
  execFileSync('avr-gcc', [...CHIP, ...flags, '-o', linked, source], { stdio: ['ignore', 'pipe', 'pipe'] });
  execFileSync('avr-objcopy', [
    ...sections.flatMap((section) => ['-j', section]),
    ...['--set-section-flags', '.version=alloc,load', '-O', 'ihex', linked, unfinished],
  ]);
  fs.rmSync(linked);
  // Renamed into place, so that two test runs at once never see a half-written file.
  fs.renameSync(unfinished, output);
  return output;
}

function modified(file: string): number {
  return fs.statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;
}
