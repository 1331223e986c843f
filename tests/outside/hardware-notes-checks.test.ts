/** What the builder is told to expect, against the page's own limits, its pulses and makers' figures. */
import { describe, expect, it } from 'vitest';
import {
  LARGEST_DRIFT,
  LARGEST_FLICKER,
  LARGEST_NOISE,
  LEAST_HEADROOM,
  LEAST_HEIGHT,
} from '../../app/measure/light-check.ts';
import { REFERENCE_LIGHT_PLAN } from '../../app/measure/reference-light-plan.ts';
import { page, partValue, quantity, SUPPLY, table } from './hardware-notes-pages.ts';

const checks = page('checks.md');

it('prints the limits at which the light check complains', () => {
  const limit = (figure: string) =>
    table('checks.md', 'figure').find((row) => row.figure === figure)?.['the page complains'];
  expect(limit('noise')).toBe(`above ${LARGEST_NOISE * 100} % of the light`);
  expect(limit('steps of light')).toBe(`below ${LEAST_HEIGHT}`);
  expect(limit('headroom')).toBe(`below ${LEAST_HEADROOM * 100} %`);
  expect(limit('flicker')).toBe(`above ±${LARGEST_FLICKER * 100} %`);
  expect(limit('drift')).toBe(`above ${LARGEST_DRIFT * 100} % a minute`);
});

it('prints how far the mean of a reference pulse may be off, for lengths that the page sends', () => {
  const rows = table('checks.md', 'pulse');
  const sent = REFERENCE_LIGHT_PLAN.map(({ length }) => length);
  expect(quantity(rows[0]!.pulse!)).toBe(sent[0]);
  expect(quantity(rows.at(-1)!.pulse!)).toBe(sent.at(-1));
  for (const row of rows) {
    const seconds = quantity(row.pulse!);
    expect(sent).toContain(seconds);
    expect(row['mean may be off by']).toBe(`${((3e-6 + 0.001 * seconds) * 1e6).toFixed(1)} µs`);
  }
});

it('prints the voltage across the LED’s resistor', () => {
  const amperes = (SUPPLY - 1.9) / partValue('ref', 'R5');
  expect(checks).toContain(
    `${(amperes * partValue('ref', 'R5')).toFixed(1)} V across R5 while it is on, which is ${(amperes * 1e3).toFixed(1)} mA`,
  );
});

describe('clock', () => {
  it('prints what tolerance, temperature and ageing come to, and what that is in stops', () => {
    const [resonator, crystal] = table('checks.md', "the board's clock");
    // Makers' data sheets: ceramic resonator ±0.5 % + 0.3 % + 0.3 %; crystal 30 + 50 ppm.
    expect(resonator!.together).toBe(`±${((0.005 + 0.003 + 0.003) * 1e6).toFixed(0)} ppm`);
    expect(crystal!.together).toBe(`±${30 + 50} ppm`);
    for (const ppm of [11_000, 100]) {
      expect(checks).toContain(
        `${ppm} ppm are ${Math.log2(1 + ppm * 1e-6).toPrecision(ppm > 1000 ? 2 : 1)} EV`,
      );
    }
  });
});
