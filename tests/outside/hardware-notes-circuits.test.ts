/**
 * Every calculated figure of the circuits, computed again and compared with what hardware-notes prints, digit for
 * digit. Part values come from the parts list, so that a changed value without its figures fails.
 */
import { describe, expect, it } from 'vitest';
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import {
  lowPass,
  lux,
  microamperes,
  page,
  partText,
  partValue,
  quantity,
  RATES,
  SUPPLY,
  table,
  toStandardFrom,
  VOLTS_PER_CODE,
} from './hardware-notes-pages.ts';

const circuits = page('circuits.md');

describe('circuit 1, load resistor', () => {
  const DIODE = 70e-12; // data sheets of BPW34-class photodiodes at 0 V, 70 to 72 pF
  const WITH_LEAD = DIODE + 30e-12; // 30 pF for lead and pin, from memory
  const RESISTORS = ['10 kΩ', '22 kΩ', '33 kΩ', '47 kΩ', '100 kΩ'];

  it('has the textbook bandwidth, the ISO 516 limit at both rates and the current for 200 steps', () => {
    const rows = table('circuits.md', 'R1');
    expect(rows.map((row) => row.R1)).toEqual(RESISTORS);
    for (const row of rows) {
      const ohms = quantity(row.R1!);
      const kilohertz = (farads: number) => `${(lowPass(ohms, farads) / 1e3).toFixed(1)} kHz`;
      expect(row['f, photodiode alone']).toBe(kilohertz(DIODE));
      expect(row['f, with lead and pin']).toBe(kilohertz(WITH_LEAD));
      const bandwidth = lowPass(ohms, WITH_LEAD);
      expect(row['to standard from t0, normal rate']).toBe(toStandardFrom(RATES.normal, bandwidth));
      expect(row['fast rate']).toBe(toStandardFrom(RATES.fast, bandwidth));
      expect(row['current for 200 steps']).toBe(microamperes((200 * VOLTS_PER_CODE) / ohms));
    }
  });

  it('prints the light at which it saturates', () => {
    const rows = table('circuits.md', 'load');
    expect(rows.map((row) => row.load)).toEqual(RESISTORS);
    for (const row of rows) {
      const amperes = (255 * VOLTS_PER_CODE) / quantity(row.load!);
      expect(row['current at code 255']).toBe(microamperes(amperes));
      expect(row['white LED']).toBe(lux(amperes, 'white'));
      expect(row.tungsten).toBe(lux(amperes, 'tungsten'));
    }
  });

  it('agrees with published figures: the data-sheet rates, and the standard’s bandwidths', () => {
    expect(RATES.normal).toBeCloseTo(38_461.5, 1); // ATmega328P data sheet
    expect(RATES.fast).toBeCloseTo(76_923.1, 1);
    for (const rate of Object.values(RATES)) {
      expect(circuits).toContain(`${(rate / 2e3).toFixed(2)} kHz at ${(rate / 1e3).toFixed(2)} kS/s`);
    }
    expect(circuits).toContain('5.2 ms at best at the normal rate, 2.6 ms at the fast rate');
    expect(toStandardFrom(RATES.normal, 1e9)).toBe('5.2 ms');
    expect(toStandardFrom(RATES.fast, 1e9)).toBe('2.6 ms');
    // ISO 516:2019: 100 kHz for 1 ms, 25 kHz for 4 ms. 100 kΩ on 70 pF is too slow for 4 ms, 10 kΩ good for 1 ms.
    expect(lowPass(100e3, DIODE)).toBeLessThan(25e3);
    expect(lowPass(10e3, DIODE)).toBeGreaterThan(100e3);
  });

  it('names the largest resistor for the fast rate, and the light that it leaves', () => {
    expect(circuits).toContain('for the fast rate 33 kΩ at most');
    expect(lowPass(33e3, WITH_LEAD)).toBeGreaterThan(RATES.fast / 2);
    expect(lowPass(47e3, WITH_LEAD)).toBeLessThan(RATES.fast / 2);
    const lit = table('light.md', 'lamp').find(({ lamp }) => lamp!.startsWith('white LED'))!;
    const steps = (Number.parseFloat(lit.current!) * 1e-6 * 33e3) / VOLTS_PER_CODE;
    expect(circuits).toContain(`that leaves ${steps.toFixed(0)} steps`);
    // "80 µA or more (120 µA at the fast rate)": 200 steps with the resistor for each rate, rounded to tens.
    expect(Math.round((200 * VOLTS_PER_CODE) / 47e3 / 1e-5) * 10).toBe(80);
    expect(Math.round((200 * VOLTS_PER_CODE) / 33e3 / 1e-5) * 10).toBe(120);
  });

  it('begins with a resistor of the table', () => {
    expect(RESISTORS).toContain(`${partValue('circuit 1', 'R1') / 1e3} kΩ`);
    expect(partText('circuit 1', 'R1')).toMatch(/^47 kΩ/);
  });
});

describe('lag leaves the effective time alone', () => {
  it('keeps the area of a pulse behind the slowest load resistor of the table', () => {
    const tau = 100e3 * 100e-12;
    const step = 1e-7;
    let seen = 0;
    let area = 0;
    let exact = 0;
    for (let t = 0; t < 6e-3; t += step) {
      const light = Math.max(0, Math.min(1, t / 1e-3, (5e-3 - t) / 1e-3));
      seen += ((light - seen) * step) / tau;
      area += seen * step;
      exact += light * step;
    }
    expect(exact).toBeCloseTo(4e-3, 6);
    expect(Math.abs(area - exact)).toBeLessThan(1e-8);
  });
});

describe('fast rate', () => {
  it('prints what the data sheet says of the converter, in codes of 8 bits', () => {
    // ATmega328P data sheet, ADC characteristics: 4.5 LSB of 10 bits at 1 MHz, input bandwidth 38.5 kHz.
    expect(circuits).toContain(
      `accuracy of 4.5 of the 1024 steps: ${(4.5 / 4).toFixed(1)} of the page's 256`,
    );
    expect(circuits).toContain('Its input bandwidth is stated as 38.5 kHz');
    expect(RATES.fast / 2).toBeLessThan(38.5e3);
    expect((RATES.fast * 13) / 1e6).toBeCloseTo(1, 9);
    expect((RATES.normal * 13) / 1e3).toBeCloseTo(500, 9);
  });

  it('prints the load of the line and how long a bridge’s buffer lasts', () => {
    // Ten bits on the line for a byte; the samples fill 87 % of it (firmware-protocol/README.md).
    const bytes = 0.87 * (BAUD_RATES.fast / 10);
    expect(circuits).toContain(`hand on ${(bytes / 1e3).toFixed(0)} kB/s without a pause`);
    expect(circuits).toContain(`128 bytes, as is common, last ${((128 / bytes) * 1e3).toFixed(1)} ms`);
    expect(bytes).toBeGreaterThan(RATES.fast);
  });
});

describe('filter, reference light and flash contact', () => {
  const result = (head: string, start: string) =>
    table('circuits.md', head).find((row) => row[head]!.startsWith(start))?.result;

  it('has the printed corners and currents', () => {
    for (const circuit of ['circuit 1', 'circuit 2'] as const) {
      const corner = lowPass(partValue(circuit, 'R2'), partValue(circuit, 'C1'));
      expect(result('what', `supply filter of ${circuit}`)).toBe(`${corner.toFixed(0)} Hz`);
    }
    for (const [start, forward, ohms] of [
      ['reference light, red', 1.9, partValue('ref', 'R5')],
      ['reference light, white', 3.0, 220],
    ] as const) {
      const amperes = (SUPPLY - forward) / ohms;
      expect(result('what', start)).toBe(`${(amperes * 1e3).toFixed(1)} mA`);
      expect(amperes).toBeLessThan(20e-3); // ATmega328P data sheet: load at which a pin is specified
    }
    expect(partText('ref', 'LED1')).toContain('1.9 V');
  });

  it('prints what the contact lead’s protection does, and what it does not', () => {
    const head = 'on the lead';
    const series = partValue('ref', 'R4');
    const pullUp = partValue('ref', 'R3');
    const milliamperes = (amperes: number, digits: number) => `${(amperes * 1e3).toFixed(digits)} mA`;
    expect(result(head, '12 V by accident: into')).toBe(milliamperes((12 - 5.3) / series, 1));
    expect(result(head, '12 V by accident: back')).toBe(milliamperes((12 - SUPPLY) / pullUp, 1));
    const flash = (300 - SUPPLY) / series;
    expect(result(head, 'the mistake')).toBe(milliamperes(flash, 0));
    expect(result(head, 'the same, heat')).toBe(`${(flash ** 2 * series).toFixed(0)} W`);
    expect(page('CAUTIONS.md')).toContain(`300 V drive ${milliamperes(flash, 0)} through R4`);
    // 10 to 90 % of an exponential takes ln 9 time constants.
    expect(result(head, 'opening contact')).toBe(`${(Math.log(9) * pullUp * 100e-12 * 1e6).toFixed(1)} µs`);
  });

  /** ATmega328P data sheet: input low below 0.3, high above 0.6 of the supply; pull-up 20 to 50 kΩ. */
  const INPUT_LOW = 0.3 * SUPPLY;
  const INPUT_HIGH = 0.6 * SUPPLY;

  /** Resistance of the contact at which the pin stands at `volts`, R4 and the chip's own pull-up counted. */
  function contactAt(volts: number, pullUp: number, inside: number): number {
    const throughPin = (SUPPLY - volts) / inside;
    const lead = volts - throughPin * partValue('ref', 'R4');
    return lead / (throughPin + (SUPPLY - lead) / pullUp);
  }

  it('passes the printed current and reads a contact as closed up to the printed resistance', () => {
    const rows = table('circuits.md', 'pull-up');
    const series = partValue('ref', 'R4');
    const cases = [
      [Number.POSITIVE_INFINITY, 50e3],
      [Number.POSITIVE_INFINITY, 20e3],
      [partValue('ref', 'R3'), 20e3],
      [470, 20e3],
    ] as const;
    expect(rows.length).toBe(cases.length);
    cases.forEach(([pullUp, inside], i) => {
      const row = rows[i]!;
      const closed = SUPPLY / pullUp + SUPPLY / (inside + series);
      expect(row['current when closed']).toBe(`${(closed * 1e3).toFixed(1)} mA`);
      const limit = contactAt(INPUT_LOW, pullUp, inside);
      expect(row['a contact this bad still reads closed']).toBe(
        limit < 1000 ? `${limit.toFixed(0)} Ω` : `${(limit / 1e3).toFixed(1)} kΩ`,
      );
      // Ohm's law the other way round: node voltages with that contact in place.
      const conductance = 1 / limit + 1 / pullUp + 1 / (inside + series);
      const lead = (SUPPLY / pullUp + SUPPLY / (inside + series)) / conductance;
      expect(lead + ((SUPPLY - lead) * series) / (inside + series)).toBeCloseTo(INPUT_LOW, 9);
    });
  });

  it('gives the builder the voltages at D8, and two resistors that tell closed from open', () => {
    const rows = table('checks.md', 'ends of the contact lead');
    const pullUp = partValue('ref', 'R3');
    const series = partValue('ref', 'R4');
    const atPin = (contact: number, inside: number) => {
      const lead =
        (SUPPLY / pullUp + SUPPLY / (inside + series)) / (1 / contact + 1 / pullUp + 1 / (inside + series));
      return lead + ((SUPPLY - lead) * series) / (inside + series);
    };
    const between = (contact: number) => {
      const [low, high] = [atPin(contact, 20e3), atPin(contact, 50e3)].sort((a, b) => a - b);
      return `${low!.toFixed(2)} to ${high!.toFixed(2)} V`;
    };
    expect(rows.map((row) => row['voltage at D8'])).toEqual([
      '5.00 V',
      between(1e-9),
      between(330),
      between(2200),
    ]);
    for (const inside of [20e3, 50e3]) {
      expect(atPin(330, inside)).toBeLessThan(INPUT_LOW);
      expect(atPin(2200, inside)).toBeGreaterThan(INPUT_HIGH);
    }
    expect(rows.map((row) => row['the page must show'])).toEqual(['open', 'closed', 'closed', 'open']);
  });
});
