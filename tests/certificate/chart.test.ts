import { describe, expect, it } from 'vitest';
import type { ChartMark } from '../../app/certificate/certificate.ts';
import { errorChart, errorScale } from '../../app/certificate/chart.ts';
import type { ChartMarker, ChartPrimitive, ChartText } from '../../app/certificate/chart-primitives.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { STAGES } from '../../app/record/job.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { inventedInput } from './invented-job.ts';

const WIDTH = 500;
const HEIGHT = 180;
const { chart } = certificateContent(inventedInput());

const markers = (shapes: readonly ChartPrimitive[], tone: string, shape: string) =>
  shapes.filter((s): s is ChartMarker => s.kind === 'marker' && s.tone === tone && s.shape === shape);
const texts = (shapes: readonly ChartPrimitive[]) => shapes.filter((s): s is ChartText => s.kind === 'text');

/** Reads an error off the chart as an eye would: between the labels of the scale. */
function readOff(shapes: readonly ChartPrimitive[], y: number): number {
  const labels = texts(shapes)
    .filter(({ text, anchor }) => anchor === 'end' && /^[+−]?\d/.test(text))
    .map(({ text, y: baseline }) => ({ error: Number(text.replace('−', '-')), y: baseline - 2.5 }));
  const low = labels[0]!;
  const high = labels.at(-1)!;
  return low.error + ((y - low.y) / (high.y - low.y)) * (high.error - low.error);
}

describe('the chart of error against marked speed', () => {
  const shapes = errorChart(chart, WIDTH, HEIGHT);

  it('puts each mean where the scale says it is', () => {
    for (const [stage, shape] of [
      ['as found', 'ring'],
      ['as left', 'square'],
    ] as const) {
      const drawn = markers(shapes, stage, shape).filter((m) => m.y > 20);
      const errors = chart.marks.flatMap((mark) => mark.stages[stage]?.error ?? []);
      expect(drawn).toHaveLength(errors.length);
      drawn.forEach((m, i) => {
        expect(readOff(shapes, m.y)).toBeCloseTo(errors[i]!, 9);
      });
    }
  });

  it('spans the interval of each mean with a whisker', () => {
    for (const stage of ['as found', 'as left'] as const) {
      const whiskers = shapes.filter(
        (s) => s.kind === 'line' && s.tone === stage && s.points[0]![0] === s.points[1]![0],
      );
      const intervals = chart.marks.flatMap((mark) => mark.stages[stage]?.interval ?? []);
      expect(whiskers).toHaveLength(intervals.length);
      whiskers.forEach((whisker, i) => {
        if (whisker.kind !== 'line') throw new Error('no line');
        expect(readOff(shapes, whisker.points[0]![1])).toBeCloseTo(intervals[i]!.upper, 9);
        expect(readOff(shapes, whisker.points[1]![1])).toBeCloseTo(intervals[i]!.lower, 9);
      });
    }
    const { error, interval } = chart.marks.find(({ mark }) => mark === '1/60')!.stages['as left']!;
    expect((interval!.lower + interval!.upper) / 2).toBeCloseTo(error, 12);
  });

  it('puts the band between its limits', () => {
    const bands = shapes.filter((s) => s.kind === 'rect' && s.tone === 'band' && s.y > 20);
    expect(bands).toHaveLength(chart.marks.length);
    bands.forEach((band, i) => {
      if (band.kind !== 'rect') throw new Error('no rectangle');
      expect(readOff(shapes, band.y)).toBeCloseTo(chart.marks[i]!.upper, 9);
      expect(readOff(shapes, band.y + band.height)).toBeCloseTo(chart.marks[i]!.lower, 9);
    });
  });

  it('tells the stages apart by shape and line style, not by colour alone', () => {
    const style = (stage: string) => {
      const long = shapes.filter((s) => s.kind === 'line' && s.tone === stage && s.points.length === 2);
      return {
        dashed: long.some((s) => s.kind === 'line' && s.dash !== null),
        shapes: [...new Set(shapes.flatMap((s) => (s.kind === 'marker' && s.tone === stage ? s.shape : [])))],
      };
    };
    expect(style('as found')).toEqual({ dashed: true, shapes: ['cross', 'ring'] });
    expect(style('as left')).toEqual({ dashed: false, shapes: ['square'] });
    const words = texts(shapes).map(({ text }) => text);
    expect(words).toEqual(expect.arrayContaining(['as found', 'as left', 'band', 'slow', 'fast']));
  });

  it('marks a speed that did not fire with a cross and the words', () => {
    const cross = markers(shapes, 'as found', 'cross');
    expect(cross).toHaveLength(1);
    const words = texts(shapes)
      .filter(({ tone }) => tone === 'as found')
      .map(({ text }) => text);
    expect(words.join(' ')).toBe('did not fire');
  });

  it('keeps every shape inside its area', () => {
    const outside = shapes.filter((s) => {
      const points =
        s.kind === 'line'
          ? s.points
          : s.kind === 'rect'
            ? [
                [s.x, s.y],
                [s.x + s.width, s.y + s.height],
              ]
            : [[s.x, s.y]];
      return points.some(([x, y]) => !(x! >= -1 && x! <= WIDTH + 1 && y! >= 0 && y! <= HEIGHT));
    });
    expect(outside).toEqual([]);
  });

  it('says so when there is nothing to show', () => {
    expect(errorChart({ ...chart, marks: [] }, WIDTH, HEIGHT)).toEqual([
      expect.objectContaining({ kind: 'text', text: 'No marked speed to show.' }),
    ]);
  });
});

describe('the scale of the chart', () => {
  const mark = (error: number, half: number | null): ChartMark => ({
    mark: '1/60',
    lower: -0.3,
    upper: 0.3,
    stages: {
      'as found': {
        error,
        interval: half === null ? null : { lower: stops(error - half), upper: stops(error + half) },
      },
      trials: null,
      'after rest': null,
      'as left': null,
    },
    notes: { 'as found': null, trials: null, 'after rest': null, 'as left': null },
  });

  it('holds every reading with its interval, in whole steps and with zero on a line', () => {
    for (const [error, half] of [
      [0, null],
      [0.9, 0.2],
      [-2.4, 0.1],
      [6.3, 2],
      [-14, null],
    ] as const) {
      const { lowest, highest, step } = errorScale({ marks: [mark(error, half)], stages: STAGES });
      expect(lowest).toBeLessThanOrEqual(Math.min(-0.5, error - (half ?? 0)));
      expect(highest).toBeGreaterThanOrEqual(Math.max(0.5, error + (half ?? 0)));
      expect(lowest / step).toBe(Math.round(lowest / step));
      expect(highest / step).toBe(Math.round(highest / step));
      expect((highest - lowest) / step).toBeLessThanOrEqual(10);
    }
  });

  it('is not stretched by a whisker of many stops, which ends in an arrow at its edge', () => {
    const marks = [mark(0.1, 19), { ...mark(0.2, 0.1), mark: '1/30' }];
    const { lowest, highest } = errorScale({ marks, stages: STAGES });
    expect([lowest, highest]).toEqual([-2, 2.5]);
    const shapes = errorChart({ ...chart, marks }, WIDTH, HEIGHT);
    const drawn = shapes
      .flatMap((s) => (s.kind === 'line' && s.tone === 'as found' ? [s.points] : []))
      .filter(([first]) => first![1] > 20);
    const arrows = drawn.filter((points) => points.length === 3);
    expect(arrows.map(([, tip]) => readOff(shapes, tip![1]))).toEqual([
      expect.closeTo(highest, 9),
      expect.closeTo(lowest, 9),
    ]);
    // The barbs point inwards, so that the tips point out of the chart.
    expect(arrows.map(([barb, tip]) => Math.sign(barb![1] - tip![1]))).toEqual([1, -1]);
    // Nothing is drawn beyond the scale, and the other whisker has its two bars.
    for (const [, y] of drawn.flat()) {
      expect(readOff(shapes, y)).toBeLessThanOrEqual(highest + 1e-9);
    }
    const bars = drawn.filter(([a, b, more]) => more === undefined && a![1] === b![1]);
    expect(bars).toHaveLength(2);
  });
});
