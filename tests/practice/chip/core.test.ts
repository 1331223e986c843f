import { describe, expect, it } from 'vitest';
import type { Interrupt } from '../../../app/practice/chip/core.ts';
import { ScheduledEvent } from '../../../app/practice/chip/event-queue.ts';
import { coreWith, SMCR, SREG, Word } from './small-programs.ts';

const INTERRUPTS_ON = 0x80;
const VECTOR = 0x20;
const interrupt: Interrupt = {
  address: VECTOR,
  flagRegister: 0x35,
  flagMask: 1,
  enableRegister: 0x6e,
  enableMask: 1,
};

/** Return address on the stack of a core that has just entered an interrupt. */
const returnAddress = (core: ReturnType<typeof coreWith>) =>
  core.data[core.SP + 2]! | (core.data[core.SP + 1]! << 8);

describe('core', () => {
  it('takes four clock cycles from the end of an instruction to the vector (7.7.1)', () => {
    const core = coreWith();
    core.data[SREG] = INTERRUPTS_ON;
    core.data[0x6e] = 1;
    core.run(10);
    core.setInterruptFlag(interrupt);
    core.run(11); // one more NOP, then the response
    expect(core.cycles).toBe(15);
    expect(core.pc).toBe(VECTOR);
    expect(returnAddress(core)).toBe(11);
    expect(core.data[SREG]! & INTERRUPTS_ON).toBe(0);
    expect(core.data[0x35]! & 1).toBe(0);
  });

  it('runs the instruction after SEI before a pending interrupt (7.7)', () => {
    const core = coreWith([Word.sei, Word.nop, Word.nop]);
    core.data[0x6e] = 1;
    core.setInterruptFlag(interrupt);
    core.run(1);
    expect(core.pc).toBe(1);
    core.run(2);
    expect(core.pc).toBe(VECTOR);
    expect(returnAddress(core)).toBe(2);
  });

  it('runs one instruction of the main program between two interrupts (7.7)', () => {
    const program = coreWith([Word.reti], VECTOR);
    program.data[SREG] = INTERRUPTS_ON;
    program.data[0x6e] = 1;
    program.setInterruptFlag(interrupt);
    program.run(1); // NOP at 0, then the first entry
    expect(returnAddress(program)).toBe(1);
    program.setInterruptFlag(interrupt);
    program.run(program.cycles + 1); // RETI
    expect(program.pc).toBe(1);
    program.run(program.cycles + 1); // the one instruction
    expect(program.pc).toBe(VECTOR);
    expect(returnAddress(program)).toBe(2);
  });

  it('does not enter an interrupt while they are disabled', () => {
    const core = coreWith([Word.cli]);
    core.data[SREG] = INTERRUPTS_ON;
    core.data[0x6e] = 1;
    core.run(1);
    core.setInterruptFlag(interrupt);
    core.run(50);
    expect(core.pc).toBe(50);
  });

  it('sleeps until an interrupt, which then takes eight cycles (7.7.1, 10.2)', () => {
    const core = coreWith([Word.sei, Word.sleep]);
    core.data[SMCR] = 1;
    core.data[0x6e] = 1;
    core.events.schedule(new ScheduledEvent(() => core.setInterruptFlag(interrupt)), 5000);
    core.run(1000);
    expect(core.cycles).toBe(1000);
    expect(core.pc).toBe(2);
    core.run(5001);
    expect(core.cycles).toBe(5008);
    expect(core.pc).toBe(VECTOR);
    expect(core.idleCycles).toBe(5000 - 2);
  });

  it('does not fall asleep unless sleep is enabled (10.2), and knows no deeper mode than idle', () => {
    const awake = coreWith([Word.sleep]);
    awake.run(100);
    expect(awake.pc).toBe(100);
    const deep = coreWith([Word.sleep]);
    deep.data[SMCR] = 0x05;
    expect(() => deep.run(10)).toThrow(/sleep mode/);
  });

  it('goes to sleep with an interrupt pending and is awake at once', () => {
    const core = coreWith([Word.sei, Word.sleep]);
    core.data[SMCR] = 1;
    core.data[0x6e] = 1;
    core.setInterruptFlag(interrupt);
    core.run(3);
    expect(core.pc).toBe(VECTOR);
    expect(returnAddress(core)).toBe(2);
    expect(core.idleCycles).toBe(0);
  });

  // Clocks from the instruction set summary of the data sheet.
  it.each([
    ['NOP', [0x0000], 1],
    ['ADD r0, r1', [0x0c01], 1],
    ['ADIW r24, 1', [0x9601], 2],
    ['MUL r0, r1', [0x9c01], 2],
    ['RJMP', [0xc000], 2],
    ['JMP', [0x940c, 0x0002], 3],
    ['RCALL', [0xd000], 3],
    ['CALL', [0x940e, 0x0002], 4],
    ['LDS r0', [0x9000, 0x0100], 2],
    ['STS r0', [0x9200, 0x0100], 2],
    ['LD r0, X', [0x900c], 2],
    ['PUSH r0', [0x920f], 2],
    ['POP r0', [0x900f], 2],
    ['LPM r0, Z', [0x9004], 3],
    ['IN r0', [0xb000], 1],
    ['OUT r0', [0xb800], 1],
    ['SBI', [0x9a00], 2],
    ['CBI', [0x9800], 2],
    ['BRBS not taken', [0xf009], 1],
    ['BRBC taken', [0xf409], 2],
    ['CPSE not equal', [0x1001], 1],
    ['SBRC skips a word', [0xfc00], 2],
    ['RET', [0x9508], 4],
    ['RETI', [0x9518], 4],
  ])('%s takes its clocks', (_name, words, clocks) => {
    const core = coreWith(words);
    core.SP = 0x800;
    core.data[1] = 1;
    core.run(1);
    expect(core.cycles).toBe(clocks);
  });
});
