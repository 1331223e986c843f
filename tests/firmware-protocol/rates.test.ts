import { describe, expect, it } from 'vitest';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { LONGEST_MESSAGE_FRAME } from '../../firmware-protocol/frames.ts';
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import { SAMPLES_PER_BLOCK } from '../../firmware-protocol/messages.ts';
import { TestBoard } from './test-board.ts';

/** Conversions a second at a prescaler: 13 ADC clocks each (ATmega328P data sheet, "Prescaling and conversion timing"). */
const conversionRate = (prescaler: number) => CLOCK_HZ / prescaler / 13;

/** The nearest rate to `baud` that UBRR can give, and its error (data sheet, table "Equations for calculating baud rate"). */
function baudRate(baud: number, doubleSpeed: boolean): { readonly actual: number; readonly error: number } {
  const divider = doubleSpeed ? 8 : 16;
  const ubrr = Math.round(CLOCK_HZ / divider / baud) - 1;
  const actual = CLOCK_HZ / (divider * (ubrr + 1));
  return { actual, error: actual / baud - 1 };
}

describe('rates at 16 MHz', () => {
  it('of the ADC are those of the Microchip data sheet', () => {
    expect(conversionRate(32) / 1000).toBeCloseTo(38.46, 2);
    expect(conversionRate(16) / 1000).toBeCloseTo(76.92, 2);
    // Full 10 bits only from 50 to 200 kHz: /128 for the supply, far too slow for the light.
    expect(CLOCK_HZ / 128).toBeGreaterThanOrEqual(50_000);
    expect(CLOCK_HZ / 128).toBeLessThanOrEqual(200_000);
    expect(CLOCK_HZ / 32).toBeGreaterThan(200_000);
  });

  it('of the line are exact or off as in the data sheet\'s tables "Examples of UBRRn settings"', () => {
    for (const baud of [250_000, 500_000, 1_000_000]) expect(baudRate(baud, true).error).toBe(0);
    expect(baudRate(115_200, false).error * 100).toBeCloseTo(-3.5, 1);
    expect(baudRate(115_200, true).error * 100).toBeCloseTo(2.1, 1);
  });

  it.each([
    ['normal', 500_000, 32],
    ['fast', 1_000_000, 16],
  ] as const)('are those the firmware sets for the %s rate', (rate, baud, prescaler) => {
    const test = new TestBoard({ keepConversions: true, rate });
    const hello = test.greet();
    expect(test.board.baudRate).toBe(baud);
    expect(hello.tickHz / hello.ticksPerConversion).toBe(conversionRate(prescaler));
    test.ask({ type: 'start' });
    test.run(10);
    const [first, second] = test.conversions.slice(1).map((conversion) => conversion.holdCycle);
    expect(CLOCK_HZ / (second! - first!)).toBe(conversionRate(prescaler));
  });

  it('leave the line 13 % for everything but samples, at either', () => {
    for (const [prescaler, baud] of [
      [32, BAUD_RATES.normal],
      [16, BAUD_RATES.fast],
    ] as const) {
      const bytesPerSecond = (conversionRate(prescaler) / SAMPLES_PER_BLOCK) * (LONGEST_MESSAGE_FRAME + 1);
      expect(bytesPerSecond / (baud / 10)).toBeCloseTo(0.871, 3);
    }
  });
});
