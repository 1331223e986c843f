/** What light and sensor geometry does to a reading, found without the formulas on the page. */
import { describe, expect, it } from 'vitest';
import { page, quantity, table } from './hardware-notes-pages.ts';

const geometry = page('geometry.md');
const drawing = page('geometry.svg');

const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
const signed = (stops: number, digits: number) =>
  (stops > 0.5 * 10 ** -digits ? '+' : '') + stops.toFixed(digits);

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
    const rows = table('geometry.md', 'central share lit and seen');
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
      expect(drawing).toContain(`${share * 100} %`);
      expect(drawing).toContain(printed);
    }
  });

  it('ends within a third of a stop of a handbook’s figures for stopping down', () => {
    // Kodak Professional Photoguide, 1979, as transcribed by a reader: a leaf shutter at f/16 or smaller exposes
    // +1/3 stop more at 1/125, +2/3 at 1/250, +1 at 1/500.
    const point = table('geometry.md', 'central share lit and seen').at(-1)!;
    for (const [mark, stops] of [
      ['1/125', 1 / 3],
      ['1/250', 2 / 3],
      ['1/500', 1],
    ] as const) {
      expect(Math.abs(Number(point[mark]) - stops)).toBeLessThan(1 / 3);
    }
    expect(geometry).toContain('about +1, +2/3 and +1/3 stop at f/16 for 1/500, 1/250 and 1/125');
  });

  it('prints the error of a sensor at a distance behind a bare shutter', () => {
    const rows = table('geometry.md', 'd');
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
    expect(geometry).toContain(`at least ${((25 * (75 + 20)) / 75).toFixed(1)} mm`);
  });

  it('prints blur and edge of a focal-plane curtain', () => {
    // 36 mm in 12 ms: published service figure for one 35 mm camera. Slit at 1/1000 s: speed · time.
    const speed = 36 / 12; // mm/ms
    const slit = speed * 1;
    const rows = table('geometry.md', 'sensor w');
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
    expect(geometry).toContain(`±${(0.45 * 36).toFixed(1)} mm for 36 mm`);
  });
});
