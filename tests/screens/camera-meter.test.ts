import { describe, expect, it } from 'vitest';
import { meterResult } from '../../app/judge/exposure-meter.ts';
import { meterChart } from '../../app/screens/camera-meter-chart.ts';
import {
  lightField,
  newMeterTest,
  readEv,
  readFNumber,
  readingFields,
  readLight,
  readReading,
  readTime,
} from '../../app/screens/camera-meter-entry.ts';

const readAs = (read: ReturnType<typeof readTime>) => (read.ok ? read.value : read.problem);

describe('what is written into the table of the meter', () => {
  it('a time as engraved or in seconds', () => {
    expect(readAs(readTime('1/60'))).toBeCloseTo(1 / 60, 12);
    expect(readAs(readTime(' 1 / 500 s'))).toBeCloseTo(1 / 500, 12);
    expect(readAs(readTime('0,5'))).toBe(0.5);
    expect(readAs(readTime('2"'))).toBe(2);
    for (const wrong of ['', '0', '-1', '1/0', 'B', '1/60/2']) expect(readTime(wrong).ok).toBe(false);
  });

  it('an f-number with or without its f', () => {
    expect(readAs(readFNumber('5.6'))).toBe(5.6);
    expect(readAs(readFNumber('f/8'))).toBe(8);
    expect(readAs(readFNumber('F 11'))).toBe(11);
    for (const wrong of ['', 'f/', '0', '-8', 'eight']) expect(readFNumber(wrong).ok).toBe(false);
  });

  it('an exposure value, below zero too', () => {
    expect(readAs(readEv('11.5'))).toBe(11.5);
    expect(readAs(readEv('EV −2'))).toBe(-2);
    for (const wrong of ['', 'EV', '100', '1/60']) expect(readEv(wrong).ok).toBe(false);
  });

  // ISO 2720: L·S/K = 2^EV, so that EV 0 at ISO 100 and K = 12.5 is 0.125 cd/m², and EV 15 is 4096.
  it('light by its strength, or by the exposure value of another meter', () => {
    expect(readAs(readLight('250', newMeterTest))).toBe(250);
    expect(readAs(readLight('EV 0', newMeterTest))).toBeCloseTo(0.125, 12);
    expect(readAs(readLight('15 EV', newMeterTest))).toBeCloseTo(4096, 9);
    const incident = { ...newMeterTest, constant: { kind: 'C' as const, value: 250 } };
    expect(readAs(readLight('ev10', incident))).toBeCloseTo(2560, 9);
    for (const wrong of ['', '0', '-5', 'EV', 'bright'])
      expect(readLight(wrong, newMeterTest).ok).toBe(false);
  });

  it('a reading is shown as it was written', () => {
    for (const fields of [['11.5'], ['−2'], ['5.6', '1/60'], ['8', '0.7'], ['16', '4']]) {
      const read = readReading(fields);
      expect(read.ok && readingFields(read.reading)).toEqual(fields);
    }
    expect(lightField(1 / 3)).toBe('0.3333');
    expect(readReading(['8', 'soon'])).toMatchObject({ ok: false });
  });
});

describe('the plot of the meter', () => {
  const resultOf = (points: readonly (readonly [light: number, ev: number])[]) =>
    meterResult({
      ...newMeterTest,
      points: points.map(([light, ev], i) => ({ id: String(i), light, reading: { ev }, note: '' })),
    }).points;

  it('has a mark for each reading, where its error is, from dim to bright', () => {
    const shapes = meterChart(
      resultOf([
        [4096, 15],
        [0.125, 1],
        [128, 9],
      ]),
      300,
      140,
    );
    const marks = shapes.flatMap((shape) => (shape.kind === 'marker' ? [shape] : []));
    expect(marks).toHaveLength(3);
    const [dim, middle, bright] = marks;
    expect(dim!.x).toBeLessThan(middle!.x);
    expect(middle!.x).toBeLessThan(bright!.x);
    // One stop high, one low, and right.
    expect(dim!.y).toBeLessThan(bright!.y);
    expect(middle!.y - bright!.y).toBeCloseTo(bright!.y - dim!.y, 6);
  });

  it('holds a single reading, and one that is far out', () => {
    for (const points of [
      resultOf([[128, 10]]),
      resultOf([
        [128, 3],
        [256, 19],
      ]),
    ]) {
      for (const shape of meterChart(points, 300, 140)) {
        const places = shape.kind === 'line' ? shape.points : [[shape.x, shape.y] as const];
        for (const [x, y] of places) {
          expect(Number.isFinite(x) && x >= 0 && x <= 300).toBe(true);
          expect(Number.isFinite(y) && y >= 0 && y <= 140).toBe(true);
        }
      }
    }
  });
});
