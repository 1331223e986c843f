/**
 * Every calculated figure of hardware-notes is computed here again and compared with what the pages print,
 * digit for digit. Inputs come from the same tables where they stand there, so that a changed part value
 * without its figures fails.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const page = (name: string) => readFileSync(new URL(`../../hardware-notes/${name}`, import.meta.url), 'utf8');
const readme = page('README.md');
const cautions = page('CAUTIONS.md');
const wiring = page('wiring.svg');
const geometry = page('geometry.svg');

type Row = Readonly<Record<string, string>>;

/** Rows of the only table whose first column is headed `head`, by column heading. Throws if there isn't exactly one. */
function table(head: string): Row[] {
  const cells = (line: string) =>
    line
      .slice(1, -1)
      .split('|')
      .map((cell) => cell.trim());
  const tables = readme
    .split(/\n{2,}/)
    .map((block) => block.split('\n').filter((line) => line.startsWith('|') && line.endsWith('|')))
    .filter((lines) => lines.length > 2 && cells(lines[0]!)[0] === head);
  if (tables.length !== 1) throw new Error(`${tables.length} tables headed '${head}'`);
  const [headings, , ...rows] = tables[0]!.map(cells);
  return rows.map((row) => Object.fromEntries(headings!.map((heading, column) => [heading, row[column]!])));
}

const UNIT: Readonly<Record<string, number>> = {
  Ω: 1,
  kΩ: 1e3,
  pF: 1e-12,
  nF: 1e-9,
  µF: 1e-6,
  mm: 1e-3,
  V: 1,
  lm: 1,
  '%': 0.01,
};

/** First number with a known unit in a cell, in SI units. */
function quantity(text: string): number {
  const found = /(\d+(?:\.\d+)?) (kΩ|Ω|pF|nF|µF|mm|V|lm|%)/.exec(text);
  if (!found) throw new Error(`no quantity in '${text}'`);
  return Number(found[1]) * UNIT[found[2]!]!;
}

const part = (ref: string) => {
  const row = table('ref').find((candidate) => candidate.ref!.split(', ').includes(ref));
  if (!row) throw new Error(`no part ${ref}`);
  return row;
};
const value = (ref: string) => quantity(part(ref).value!);
const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
const signed = (stops: number, digits: number) =>
  (stops > 0.5 * 10 ** -digits ? '+' : '') + stops.toFixed(digits);

/** ATmega328P data sheet: converter and pins. Full scale 2^8 codes over the 5 V supply. */
const SUPPLY = 5;
const VOLTS_PER_CODE = SUPPLY / 256;
const SAMPLING_RATE = 16e6 / 32 / 13;
const INPUT_LOW = 0.3 * SUPPLY;
const INPUT_HIGH = 0.6 * SUPPLY;

const bandwidth = (ohms: number, farads: number) => 1 / (2 * Math.PI * ohms * farads);

describe('load resistor', () => {
  const DIODE = 70e-12; // data sheets of BPW34-class photodiodes at 0 V, 70 to 72 pF
  const WITH_LEAD = DIODE + 30e-12; // 30 pF for lead and pin, from memory

  it('has the textbook bandwidth, the ISO 516 limit and the current for 200 steps', () => {
    const rows = table('R1');
    expect(rows.map((row) => row.R1)).toEqual(['10 kΩ', '22 kΩ', '47 kΩ', '100 kΩ']);
    for (const row of rows) {
      const ohms = quantity(row.R1!);
      const kilohertz = (farads: number) => `${(bandwidth(ohms, farads) / 1e3).toFixed(1)} kHz`;
      expect(row['f, photodiode alone']).toBe(kilohertz(DIODE));
      expect(row['f, with lead and pin']).toBe(kilohertz(WITH_LEAD));
      // ISO 516:2019: detector within ±3 dB from DC to 100/t0.
      const shortest = 100 / Math.min(SAMPLING_RATE / 2, bandwidth(ohms, WITH_LEAD));
      expect(row['shape to standard from t0']).toBe(`${(shortest * 1e3).toFixed(1)} ms`);
      const microamperes = ((200 * VOLTS_PER_CODE) / ohms) * 1e6;
      expect(row['current for 200 steps']).toBe(`${microamperes.toFixed(1)} µA`);
    }
  });

  it('agrees with published figures: the data-sheet rate, and the standard’s bandwidths', () => {
    expect(SAMPLING_RATE).toBeCloseTo(38_461.5, 1); // ATmega328P data sheet: 13 clocks each, 16 MHz / 32
    expect(readme).toContain(
      `${(SAMPLING_RATE / 2e3).toFixed(2)} kHz at ${(SAMPLING_RATE / 1e3).toFixed(2)} kS/s`,
    );
    // ISO 516:2019: 100 kHz for 1 ms, 25 kHz for 4 ms. 100 kΩ on 70 pF is too slow for 4 ms, 10 kΩ good for 1 ms.
    expect(bandwidth(100e3, DIODE)).toBeLessThan(25e3);
    expect(bandwidth(10e3, DIODE)).toBeGreaterThan(100e3);
  });

  it('is one of the table in the parts list', () => {
    expect(table('R1').map((row) => quantity(row.R1!))).toContain(value('R1'));
    expect(part('R1').value).toMatch(/^47 kΩ/);
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

describe('filter, reference light and flash contact', () => {
  it('has the printed corner and currents', () => {
    const rows = table('what');
    const result = (start: string) => rows.find((row) => row.what!.startsWith(start))?.result;
    expect(result('supply filter')).toBe(`${bandwidth(value('R2'), 10e-6).toFixed(0)} Hz`);
    expect(part('R2').value).toBe('100 Ω, 10 µF, 100 nF');

    for (const [start, forward, ohms] of [
      ['reference light, red', 1.9, value('R5')],
      ['reference light, white', 3.0, 220],
    ] as const) {
      const amperes = (SUPPLY - forward) / ohms;
      expect(result(start)).toBe(`${(amperes * 1e3).toFixed(1)} mA`);
      expect(amperes).toBeLessThan(20e-3); // ATmega328P data sheet: load at which a pin is specified
    }
    expect(part('LED1').value).toContain('1.9 V');
    expect(result('the mistake')).toBe(`${(((300 - SUPPLY) / value('R4')) * 1e3).toFixed(0)} mA`);
  });

  /** Resistance of the contact at which the pin stands at `volts`, R4 and the chip's own pull-up counted. */
  function contactAt(volts: number, pullUp: number, inside: number): number {
    const throughPin = (SUPPLY - volts) / inside;
    const lead = volts - throughPin * value('R4');
    return lead / (throughPin + (SUPPLY - lead) / pullUp);
  }

  it('passes the printed current and reads a contact as closed up to the printed resistance', () => {
    const rows = table('pull-up');
    const cases = [
      [Number.POSITIVE_INFINITY, 50e3], // ATmega328P data sheet: pull-up 20 to 50 kΩ
      [Number.POSITIVE_INFINITY, 20e3],
      [value('R3'), 20e3],
      [470, 20e3],
    ] as const;
    expect(rows.length).toBe(cases.length);
    cases.forEach(([pullUp, inside], i) => {
      const row = rows[i]!;
      const closed = SUPPLY / pullUp + SUPPLY / (inside + value('R4'));
      expect(row['current when closed']).toBe(`${(closed * 1e3).toFixed(1)} mA`);
      const limit = contactAt(INPUT_LOW, pullUp, inside);
      expect(row['a contact this bad still reads closed']).toBe(
        limit < 1000 ? `${limit.toFixed(0)} Ω` : `${(limit / 1e3).toFixed(1)} kΩ`,
      );
      // Ohm's law the other way round: node voltages with that contact in place.
      const conductance = 1 / limit + 1 / pullUp + 1 / (inside + value('R4'));
      const lead = (SUPPLY / pullUp + SUPPLY / (inside + value('R4'))) / conductance;
      expect(lead + ((SUPPLY - lead) * value('R4')) / (inside + value('R4'))).toBeCloseTo(INPUT_LOW, 9);
    });
  });

  it('lets the builder’s two test resistors tell closed from open, whatever the chip’s pull-up', () => {
    expect(readme).toContain('With 330 Ω across them it must still read closed, with 2.2 kΩ no longer.');
    for (const inside of [20e3, 50e3]) {
      expect(contactAt(INPUT_LOW, value('R3'), inside)).toBeGreaterThan(330);
      expect(contactAt(INPUT_HIGH, value('R3'), inside)).toBeLessThan(2200);
    }
  });
});

describe('light', () => {
  it('gives the printed steps for each lamp and resistor', () => {
    const LENS = { fNumber: 3.5, transmission: 0.9 };
    const discArea = Math.PI * 0.02 ** 2;
    // 75 nA/lx under standard illuminant A: photodiode data sheets. White LED: 7.45 mm² · 0.3 A/W / (300 lm/W),
    // the last two from memory.
    const whiteLed = (7.45e-6 * 0.3) / 300;
    expect(Math.abs(whiteLed / 7.5e-9 - 1)).toBeLessThan(0.01);
    const sensitivity: Readonly<Record<string, number>> = { white: 7.5e-9, '12': 75e-9 };
    const rows = table('lamp');
    expect(rows.length).toBe(2);
    for (const row of rows) {
      const luminance = (quantity(row.flux!) * 0.5) / (Math.PI * discArea);
      const lux = (Math.PI * luminance * LENS.transmission) / (4 * LENS.fNumber ** 2);
      const amperes = lux * sensitivity[row.lamp!.split(' ')[0]!]!;
      expect(row['at the sensor']).toBe(`${lux.toFixed(0)} lx`);
      expect(row.current).toBe(`${(amperes * 1e6).toFixed(1)} µA`);
      for (const column of ['10 kΩ', '22 kΩ', '47 kΩ', '100 kΩ']) {
        const steps = (amperes * quantity(column)) / VOLTS_PER_CODE;
        expect(row[column]).toBe(steps > 255 ? 'over' : steps.toFixed(0));
      }
    }
  });

  it('prints the voltage at A0 for each number of steps', () => {
    const rows = table('steps');
    expect(rows.map((row) => row.steps)).toEqual(['30', '100', '200', '255']);
    for (const row of rows) {
      expect(row['at A0']).toBe(`${(Number(row.steps) * VOLTS_PER_CODE).toFixed(2)} V`);
    }
  });
});

/**
 * What the sensor reads, in ms, found without the formula on the page: a round opening cut into rings, each
 * uncovered from `u·τ` to `t0 − u·τ` (u: share of the area further in), weighted by the light that the sensor
 * gets from it, summed over time steps.
 */
function reading(te: number, edge: number, weight: (u: number) => number): number {
  const rings = 400;
  const times = 4000;
  const total = te + edge;
  let full = 0;
  const opens: { from: number; to: number; weight: number }[] = [];
  for (let i = 0; i < rings; i++) {
    const u = (i + 0.5) / rings;
    full += weight(u);
    opens.push({ from: u * edge, to: total - u * edge, weight: weight(u) });
  }
  let area = 0;
  for (let k = 0; k < times; k++) {
    const t = ((k + 0.5) / times) * total;
    let light = 0;
    for (const ring of opens) if (t > ring.from && t < ring.to) light += ring.weight;
    area += ((light / full) * total) / times;
  }
  return area;
}

describe('geometry', () => {
  const EDGE = 2; // ms
  const MARKS = { '1/500': 2, '1/250': 4, '1/125': 8, '1/60': 1000 / 60 } as const; // ms

  it('prints the error of a partly lit opening, by formula and by summing over the opening', () => {
    const rows = table('central share lit and seen');
    expect(rows.length).toBe(6);
    for (const row of rows) {
      const name = row['central share lit and seen']!;
      const share = name === 'a point' ? 0 : quantity(name);
      for (const [mark, te] of Object.entries(MARKS)) {
        const formula = te + EDGE * (1 - share);
        expect(row[mark], `${name} at ${mark}`).toBe(signed(Math.log2(formula / te), 2));
        const summed = reading(te, EDGE, (u) => (u < Math.max(share, 1 / 400) ? 1 : 0));
        expect(Math.abs(Math.log2(summed / formula)), `${name} at ${mark}`).toBeLessThan(0.004);
      }
      const left = Math.min(1, 0.5 / share);
      expect(row['light left in the one-stop test']).toBe(percent(left));
    }
  });

  it('draws the same figures: +0.26 EV at 80 %, +0.58 EV at 50 % at 1/500', () => {
    for (const [share, printed] of [
      [0.8, '+0.26'],
      [0.5, '+0.58'],
    ] as const) {
      const summed = reading(2, EDGE, (u) => (u < share ? 1 : 0));
      expect(signed(Math.log2(summed / 2), 2)).toBe(printed);
      expect(geometry).toContain(`${share * 100} %`);
      expect(geometry).toContain(printed);
    }
  });

  it('ends within a third of a stop of a handbook’s figures for stopping down', () => {
    // Kodak Professional Photoguide, 1979, as transcribed by a reader: a leaf shutter at f/16 or smaller exposes
    // +1/3 stop more at 1/125, +2/3 at 1/250, +1 at 1/500.
    const point = table('central share lit and seen').at(-1)!;
    for (const [mark, stops] of [
      ['1/125', 1 / 3],
      ['1/250', 2 / 3],
      ['1/500', 1],
    ] as const) {
      expect(Math.abs(Number(point[mark]) - stops)).toBeLessThan(1 / 3);
    }
    expect(readme).toContain('about +1, +2/3 and +1/3 stop at f/16 for 1/500, 1/250 and 1/125');
  });

  it('prints the error of a sensor at a distance behind a bare shutter', () => {
    const rows = table('d');
    expect(rows.map((row) => row.d)).toEqual(['1 D', '2 D', '3 D', '5 D']);
    for (const row of rows) {
      const q = (0.5 / Number.parseFloat(row.d!)) ** 2;
      const meanU = ((1 + q) * Math.log(1 + q) - q) / q ** 2;
      expect(row['weight of the rim']).toBe((1 / (1 + q) ** 2).toFixed(2));
      for (const mark of ['1/500', '1/125'] as const) {
        const te = MARKS[mark];
        const formula = te + EDGE * (1 - 2 * meanU);
        expect(row[`error at ${mark}`]).toBe(signed(Math.log2(formula / te), 3));
        // cos⁴ law: obliquity at opening and sensor, and distance squared.
        const summed = reading(te, EDGE, (u) => 1 / (1 + q * u) ** 2);
        expect(Math.abs(Math.log2(summed / formula))).toBeLessThan(0.001);
      }
    }
    expect(readme).toContain(`at least ${((25 * (75 + 20)) / 75).toFixed(1)} mm`);
  });

  it('prints blur and edge of a focal-plane curtain', () => {
    // 36 mm in 12 ms: published service figure for one 35 mm camera. Slit at 1/1000 s: speed · time.
    const speed = 36 / 12; // mm/ms
    const slit = speed * 1;
    const rows = table('sensor w');
    expect(rows.length).toBe(3);
    for (const row of rows) {
      const blur =
        1e3 * (quantity(row['sensor w']!) + quantity(row['gap g']!) * Number.parseFloat(row['light s']!));
      expect(row.blur).toBe(`${blur.toFixed(2)} mm`);
      expect(row['edge lasts']).toBe(`${(blur / speed).toFixed(2)} ms`);
      expect(row[`clears a ${slit.toFixed(1)} mm slit`]).toBe(blur < slit ? 'yes' : 'no');
    }
    // The printed s of each row: f/2, 40 mm at 200 mm, 20 mm at 1 m.
    expect(rows.map((row) => Number.parseFloat(row['light s']!))).toEqual([1 / 2, 40 / 200, 20 / 1000]);
    // ISO 516:2019 and GOST 19821-83, 6.4.2: points at ±45 % of the frame.
    expect(readme).toContain(`±${(0.45 * 36).toFixed(1)} mm for 36 mm`);
  });
});

describe('drawings and cautions', () => {
  it('draws every pin of the pin table and every part of the parts list with its value', () => {
    const pins = table('pin').map((row) => row.pin!);
    expect(pins).toEqual(['A0', 'A1', 'A2', 'D8', 'D2', 'D9', '5V', 'GND']);
    for (const pin of pins) expect(wiring).toMatch(new RegExp(`class="pin[^>]*>${pin}<`));
    const refs = table('ref')
      .flatMap((row) => row.ref!.split(', '))
      .filter((ref) => ref !== '–');
    for (const ref of refs) expect(wiring).toMatch(new RegExp(`class="ref[^>]*>${ref}\\b`));
    for (const ref of ['R1', 'R2', 'R3', 'R4', 'R5']) {
      const printed = /^\d+ k?Ω/.exec(table('ref').find((row) => row.ref!.startsWith(ref))!.value!)![0];
      expect(wiring).toContain(`>${ref} ${printed}<`);
    }
  });

  it('states the voltages found on old flash units', () => {
    // Service pages: 200 to 400 V seen, up to 600 V quoted; some cameras stand 6 V only.
    for (const figure of ['200 to 400 V', '600 V', '6 V only']) expect(cautions).toContain(figure);
    expect(cautions).toMatch(/local .*rules/);
    expect(readme).toContain('Not proven on hardware');
  });
});
