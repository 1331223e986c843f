import { describe, expect, it } from 'vitest';
import { Converter } from '../../../app/practice/chip/converter.ts';
import { coreWith, read, runOn, write } from './small-programs.ts';

const ADCL = 0x78;
const ADCH = 0x79;
const ADCSRA = 0x7a;
const ADCSRB = 0x7b;
const ADMUX = 0x7c;
const SUPPLY = 0x40;
const LEFT = 0x20;
/** ADEN, ADSC, ADATE and ADIE. */
const [ENABLE, START, AUTO, FLAG] = [0x80, 0x40, 0x20, 0x10];
const DIVIDE_BY_32 = 5;

function converter(input: (pin: number, cycle: number) => number = () => 0) {
  const core = coreWith();
  const held: { multiplexer: number; cycle: number; code: number }[] = [];
  new Converter(core, {
    input,
    supplyVolts: 5,
    onConversion: (multiplexer, cycle, code) => held.push({ multiplexer, cycle, code }),
  });
  write(core, ADMUX, SUPPLY);
  return { core, held };
}

describe('converter', () => {
  it('holds the first conversion at 13.5 clocks and the free running ones 2 clocks into 13 (24.4, table 24-1)', () => {
    const { core, held } = converter();
    core.run(100);
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 100 + 32 * (25 + 3 * 13));
    expect(held.map(({ cycle }) => (cycle - 100) / 32)).toEqual([13.5, 25 + 2, 25 + 13 + 2, 25 + 26 + 2]);
  });

  it('never drifts, whatever instructions lie between', () => {
    // A loop of RJMP to itself: two cycles each, so that half the conversions end inside an instruction.
    const core = coreWith([0xcfff]);
    const cycles: number[] = [];
    new Converter(core, { input: () => 0, supplyVolts: 5, onConversion: (_m, cycle) => cycles.push(cycle) });
    write(core, ADMUX, SUPPLY);
    write(core, ADCSRA, ENABLE | START | AUTO | 1); // divide by 2: 26 cycles a conversion
    core.run(50 + 26 * 20_000);
    expect(cycles.length).toBeGreaterThanOrEqual(20_000);
    for (const [n, cycle] of cycles.slice(1).entries()) expect(cycle).toBe(50 + 26 * n + 4);
  });

  it('holds a single conversion 1.5 clocks after the next edge of its own clock (24.4)', () => {
    const { core, held } = converter();
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32);
    runOn(core, 1000);
    expect(held).toHaveLength(1);
    expect(read(core, ADCSRA) & START).toBe(0);
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32); // 1000 is 31.25 clocks: the next edge is the 32nd
    expect(read(core, ADCSRA) & START).toBe(START);
    runOn(core, 32 * (32 + 13) - 1);
    expect(held).toHaveLength(1);
    runOn(core, 32 * (32 + 13));
    expect(held[1]!.cycle / 32).toBe(32 + 1.5);
  });

  it('locks the channel as a conversion starts, so that a change acts one conversion late (24.5)', () => {
    const { core, held } = converter((pin) => 100 * pin);
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 32 * 25 + 32); // the first has ended, the second runs
    write(core, ADMUX, SUPPLY | 2);
    runOn(core, 32 * (25 + 3 * 13));
    expect(held.map(({ multiplexer }) => multiplexer)).toEqual([0, 0, 2, 2]);
    expect(held.map(({ code }) => code)).toEqual([0, 0, 200, 200]);
  });

  it('cuts fractions off and clips at both ends', () => {
    const values = [-3.5, 0.999, 511.5, 1023.9, 2000];
    const { core, held } = converter(() => values.shift() ?? 0);
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 32 * (25 + 4 * 13));
    expect(held.map(({ code }) => code)).toEqual([0, 0, 511, 1023, 1023]);
  });

  it('delivers left adjusted as asked for by ADLAR (24.9.3)', () => {
    const { core } = converter(() => 0b11_0101_0110);
    write(core, ADMUX, SUPPLY | LEFT);
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32);
    runOn(core, 800);
    expect(read(core, ADCH)).toBe(0b1101_0101);
    expect(read(core, ADCL)).toBe(0b1000_0000);
  });

  it('throws results away between the reading of ADCL and of ADCH (24.2)', () => {
    let value = 5;
    const { core } = converter(() => value);
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 800);
    expect(read(core, ADCL)).toBe(5);
    value = 0x3ff;
    runOn(core, 800 + 2 * 416);
    expect(read(core, ADCH)).toBe(0);
    expect(read(core, ADCL)).toBe(5);
    read(core, ADCH);
    runOn(core, 800 + 4 * 416);
    expect(read(core, ADCL)).toBe(0xff);
  });

  it('clears its flag by a one written to it, not by a zero (24.9.2)', () => {
    const { core } = converter();
    const settings = ENABLE | DIVIDE_BY_32;
    write(core, ADCSRA, settings | START);
    runOn(core, 800);
    expect(read(core, ADCSRA) & FLAG).toBe(FLAG);
    write(core, ADCSRA, settings);
    expect(read(core, ADCSRA) & FLAG).toBe(FLAG);
    write(core, ADCSRA, settings | FLAG);
    expect(read(core, ADCSRA) & FLAG).toBe(0);
  });

  it('asks for its interrupt once it is enabled, also for a flag set before', () => {
    const { core } = converter();
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32);
    runOn(core, 800);
    expect(core.nextInterrupt).toBe(-1);
    write(core, ADCSRA, ENABLE | 0x08 | DIVIDE_BY_32);
    expect(core.nextInterrupt).toBe(0x2a);
  });

  it('stops after the conversion under way when ADATE is cleared, and at once when ADEN is', () => {
    const { core, held } = converter();
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 900);
    write(core, ADCSRA, ENABLE | DIVIDE_BY_32);
    runOn(core, 5000);
    expect(held).toHaveLength(2);
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32);
    runOn(core, 5100);
    write(core, ADCSRA, 0);
    runOn(core, 9000);
    expect(held).toHaveLength(2);
    expect(read(core, ADCSRA)).toBe(FLAG);
    write(core, ADCSRA, ENABLE | START | DIVIDE_BY_32); // anew: a first conversion of 25 clocks
    runOn(core, 9000 + 25 * 32);
    expect(held[2]!.cycle - 9000).toBe(13.5 * 32);
  });

  it('reads the band gap against the supply and ground as zero (24.9.1)', () => {
    const { core, held } = converter();
    write(core, ADMUX, SUPPLY | 14);
    write(core, ADCSRA, ENABLE | START | AUTO | DIVIDE_BY_32);
    runOn(core, 800);
    write(core, ADMUX, SUPPLY | 15);
    runOn(core, 800 + 2 * 416);
    expect(held[0]!.code).toBe(Math.floor((1.1 / 5) * 1024));
    expect(held.at(-1)!.code).toBe(0);
  });

  it('refuses what it does not model', () => {
    const reference = converter();
    write(reference.core, ADMUX, 0);
    expect(() => write(reference.core, ADCSRA, ENABLE | START)).toThrow(/reference/);
    const trigger = converter();
    write(trigger.core, ADCSRB, 3);
    expect(() => write(trigger.core, ADCSRA, ENABLE | START | AUTO)).toThrow(/trigger/);
  });
});
