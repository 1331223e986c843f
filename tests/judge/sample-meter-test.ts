/** A meter's test with points of known error. */
import { meterResult } from '../../app/judge/exposure-meter.ts';
import type { MeterTest } from '../../app/judge/meter-test.ts';
import { stops } from '../../firmware-protocol/units.ts';

/** At ISO 100 and K = 12.5: by the EV the light asks for, and the error of the meter there. */
export function meterTest(
  errors: readonly (readonly [ev: number, error: number])[],
  more: Partial<MeterTest> = {},
): MeterTest {
  return {
    notation: 'EV',
    iso: 100,
    constant: { kind: 'K', value: 12.5 },
    cell: 'not stated',
    battery: null,
    source: { words: 'light box', uncertainty: stops(0.1) },
    points: errors.map(([ev, error], index) => ({
      id: `p${index}`,
      light: 0.125 * 2 ** ev,
      reading: { ev: ev + error },
      note: '',
    })),
    ...more,
  };
}

export const judged = (errors: readonly (readonly [number, number])[], more: Partial<MeterTest> = {}) =>
  meterResult(meterTest(errors, more));
