import type { Core } from './core.ts';

/** Registers of parts that aren't emulated, with the bits that would set such a part to work. */
const ABSENT: readonly (readonly [part: string, register: number, startBits: number])[] = [
  ['timer 0', 0x45, 0x07],
  ['timer 2', 0xb1, 0x07],
  ['serial peripheral interface', 0x4c, 0x40],
  ['two-wire interface', 0xbc, 0x04],
  ['comparator interrupt', 0x50, 0x08],
  ['self-programming', 0x57, 0x01],
  ['clock prescaler', 0x61, 0x0f],
];

/** Firmware that relies on a part the board hasn't got must be told, not run wrongly. */
export function refuseAbsentParts(core: Core): void {
  for (const [part, register, startBits] of ABSENT) {
    core.writeHooks[register] = (value) => {
      if (value & startBits) throw new Error(`The emulated board has no ${part}.`);
      return false;
    };
  }
}
