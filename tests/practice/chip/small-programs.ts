import { Core } from '../../../app/practice/chip/core.ts';

/** Instructions as the words of the instruction set manual. */
export const Word = {
  nop: 0x0000,
  sei: 0x9478,
  cli: 0x94f8,
  reti: 0x9518,
  sleep: 0x9588,
  here: 0xcfff,
} as const;

export const SREG = 0x5f;
export const SMCR = 0x53;

/** A core whose program begins with these words and goes on with NOPs: one cycle each, 16384 of them. */
export function coreWith(words: readonly number[] = [], at = 0): Core {
  const program = new Uint16Array(0x4000);
  program.set(words, at);
  return new Core(program);
}

/** Writes a register as STS does, at the core's present cycle. */
export const write = (core: Core, address: number, value: number) => core.writeData(address, value);

export const read = (core: Core, address: number) => core.readData(address);

/** Keeps a core of NOPs going for longer than its program, by jumping back between instructions. */
export function runOn(core: Core, untilCycle: number): void {
  while (core.cycles < untilCycle) {
    core.pc = 0;
    core.run(Math.min(untilCycle, core.cycles + 16_000));
  }
}
