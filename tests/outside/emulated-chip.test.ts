import { describe, expect, it } from 'vitest';
import { Converter } from '../../app/practice/chip/converter.ts';
import { readHexImage } from '../../app/practice/chip/hex-image.ts';
import { Usart } from '../../app/practice/chip/usart.ts';
import { coreWith, runOn, write } from '../practice/chip/small-programs.ts';

const CLOCK_HZ = 16_000_000;

// Published examples of the Intel HEX format: the bytes of a record, its checksum included, sum to 0.
describe('Intel HEX examples', () => {
  it(':0300300002337A1E puts 02 33 7A at 0x30', () => {
    const words = readHexImage(':0300300002337A1E\n:00000001FF\n');
    expect([words[0x18], words[0x19]]).toEqual([0x3302, 0xff7a]);
  });

  it(':10E00000… is sound, and lies beyond a flash of 32 KiB', () => {
    const text = ':10E0000002E003E4F588758910F58DF58BD28E302A\n:00000001FF\n';
    const words = readHexImage(text, 65_536);
    expect(words[0xe000 / 2]).toBe(0xe002);
    expect(words[0xe00e / 2]).toBe(0x308e);
    expect(() => readHexImage(text)).toThrow(/outside the program memory/);
  });

  it('the end record alone is an empty file', () => {
    expect(readHexImage(':00000001FF').every((word) => word === 0xffff)).toBe(true);
  });
});

// Microchip data sheet, ATmega328P at 16 MHz: 13 clocks a conversion.
describe('rates of the converter', () => {
  it.each([
    [5, 38.46],
    [4, 76.92],
  ])('prescaler setting %i gives %f kS/s', (prescaler, kilosamples) => {
    const core = coreWith();
    const holds: number[] = [];
    new Converter(core, { input: () => 0, supplyVolts: 5, onConversion: (_m, cycle) => holds.push(cycle) });
    write(core, 0x7c, 0x40);
    write(core, 0x7a, 0xe0 | prescaler);
    runOn(core, 100_000);
    const period = (holds.at(-1)! - holds[1]!) / (holds.length - 2);
    expect(CLOCK_HZ / period / 1000).toBeCloseTo(kilosamples, 2);
  });
});

// Microchip data sheet, baud rates at 16 MHz: 250k, 500k and 1M are exact, 115200 is 3.5 % off, 2.1 % with U2X.
describe('baud rates', () => {
  it.each([
    [false, 3, 250_000, 0],
    [true, 3, 500_000, 0],
    [true, 1, 1_000_000, 0],
    [false, 8, 115_200, -3.5],
    [true, 16, 115_200, 2.1],
  ])('U2X %s, UBRR %i: %i baud, %f %% off', (doubled, divisor, nominal, percent) => {
    const core = coreWith();
    const usart = new Usart(core, CLOCK_HZ, () => {});
    write(core, 0xc0, doubled ? 2 : 0);
    write(core, 0xc4, divisor);
    expect((usart.baudRate / nominal - 1) * 100).toBeCloseTo(percent, 1);
  });
});
