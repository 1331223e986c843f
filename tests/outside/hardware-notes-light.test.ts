/** Lamps, their supplies, and the light that reaches the sensor, computed again from hardware-notes' own inputs. */
import { describe, expect, it } from 'vitest';
import { LARGEST_DRIFT, LEAST_HEADROOM, LEAST_HEIGHT } from '../../app/measure/light-check.ts';
import { AMPERES_PER_LUX, page, quantity, table, VOLTS_PER_CODE } from './hardware-notes-pages.ts';

const light = page('light.md');

/** LED voltages, battery voltages and charge, the halogen lamp's exponent: from memory. */
const HALOGEN_EXPONENT = 3.4;
const halogenAmperes = 20 / 12;

describe('lamps', () => {
  const rows = table('light.md', 'wired as');

  it('prints the current, the resistor’s heat and what the supply does to the light', () => {
    expect(rows.length).toBe(4);
    for (const row of rows.slice(0, 2)) {
      const supply = quantity(row.supply!);
      const rest = supply - quantity(row['lamp voltage']!);
      const ohms = quantity(row.resistor!);
      const amperes = rest / ohms;
      expect(row.current).toBe(`${(amperes * 1e3).toFixed(0)} mA`);
      expect(row['heat in it']).toBe(`${(amperes ** 2 * ohms).toFixed(1)} W`);
      expect(row['light, for 1 % of supply']).toBe(`${((0.01 * supply) / rest / 0.01).toFixed(1)} %`);
    }
    const halogen = rows[3]!;
    expect(halogen.current).toBe(`${(halogenAmperes * 1e3).toFixed(0)} mA`);
    expect(halogen['light, for 1 % of supply']).toBe(
      `${((1.01 ** HALOGEN_EXPONENT - 1) * 100).toFixed(1)} %`,
    );
  });

  it('prints the current source: current, heat, and headroom enough', () => {
    const row = rows[2]!;
    const amperes = 1.25 / quantity(row.resistor!);
    expect(row.current).toBe(`${(amperes * 1e3).toFixed(0)} mA`);
    expect(row['heat in it']).toBe(`${(1.25 * amperes).toFixed(1)} W`);
    const over = quantity(row.supply!) - quantity(row['lamp voltage']!);
    expect(over).toBeGreaterThan(3);
    expect(light).toContain(
      `(15 − 9.6 − 1.25) V · ${amperes.toFixed(2)} A = ${((over - 1.25) * amperes).toFixed(1)} W`,
    );
  });

  it('prints how long a battery lasts and how slowly the light sinks', () => {
    const ledAmperes = quantity(rows[1]!.current!);
    const cases = [
      { amperes: ledAmperes, relative: (volts: number) => volts / (12 - 9.6) },
      { amperes: halogenAmperes, relative: (volts: number) => (volts / 12) * HALOGEN_EXPONENT },
    ];
    const printed = table('light.md', 'on 12 V, 7 Ah');
    expect(printed.length).toBe(cases.length);
    cases.forEach(({ amperes, relative }, i) => {
      const row = printed[i]!;
      const hours = (0.7 * 7) / amperes;
      const voltsPerMinute = (12.7 - 11.9) / (hours * 60);
      expect(row['runs for']).toBe(`${hours.toFixed(1)} h`);
      expect(row['the battery sinks by']).toBe(`${(voltsPerMinute * 1e3).toFixed(1)} mV a minute`);
      expect(row['light changes by']).toBe(`${(relative(voltsPerMinute) * 100).toFixed(2)} % a minute`);
      expect(relative(voltsPerMinute)).toBeLessThan(LARGEST_DRIFT);
    });
    expect(light).toContain(`the ${LARGEST_DRIFT * 100} % a minute that the light check allows`);
    for (const [fuse, amperes] of [
      [2, ledAmperes],
      [3, halogenAmperes],
    ] as const) {
      expect(light).toContain(`${fuse} A for the`);
      expect(fuse).toBeGreaterThan(1.5 * amperes);
    }
  });

  it('prints the ripple of an unregulated adapter', () => {
    expect(light).toContain(`= ${(0.889 / (100 * 2200e-6)).toFixed(1)} V. **Not** a dimmer`);
  });
});

describe('steps of light', () => {
  it('gives the printed steps for each lamp and resistor', () => {
    const LENS = { fNumber: 3.5, transmission: 0.9 };
    const discArea = Math.PI * 0.02 ** 2;
    // White LED: 7.45 mm² · 0.3 A/W / (300 lm/W), the last two from memory.
    expect(Math.abs((7.45e-6 * 0.3) / 300 / AMPERES_PER_LUX.white - 1)).toBeLessThan(0.01);
    const rows = table('light.md', 'lamp');
    expect(rows.length).toBe(2);
    for (const row of rows) {
      const luminance = (quantity(row.flux!) * 0.5) / (Math.PI * discArea);
      const lux = (Math.PI * luminance * LENS.transmission) / (4 * LENS.fNumber ** 2);
      const amperes = lux * AMPERES_PER_LUX[row.lamp!.startsWith('white') ? 'white' : 'tungsten'];
      expect(row['at the sensor']).toBe(`${lux.toFixed(0)} lx`);
      expect(row.current).toBe(`${(amperes * 1e6).toFixed(1)} µA`);
      for (const column of ['10 kΩ', '22 kΩ', '47 kΩ', '100 kΩ']) {
        const steps = (amperes * quantity(column)) / VOLTS_PER_CODE;
        expect(row[column]).toBe(steps > 255 ? 'over' : steps.toFixed(0));
      }
    }
  });

  it('prints the voltage at A0 for each number of steps, and the page’s own limits', () => {
    const rows = table('light.md', 'steps');
    expect(rows.map((row) => row.steps)).toEqual(['30', '100', '200', '255']);
    for (const row of rows) {
      expect(row['at A0']).toBe(`${(Number(row.steps) * VOLTS_PER_CODE).toFixed(2)} V`);
    }
    expect(rows[1]!.steps).toBe(String(LEAST_HEIGHT));
    // "Keep the open level below 240": before the light check complains.
    expect(240).toBeLessThan(255 * (1 - LEAST_HEADROOM));
    const top = Math.floor(255 * (1 - LEAST_HEADROOM));
    expect(page('circuits.md')).toContain(`the light check complains above ${top}`);
  });

  it('prints the share of the light that a slit lets through', () => {
    expect(light).toContain(`lets 0.5/2.7 = ${((0.5 / 2.7) * 100).toFixed(0)} % of the light through`);
    expect(2.7 / 0.5).toBeCloseTo(5.4, 9); // "five times the resistor"
  });
});
