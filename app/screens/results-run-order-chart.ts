import { stops } from '../../firmware-protocol/units.ts';
import {
  type ChartPrimitive,
  type Dash,
  label,
  line,
  marker,
  rectangle,
} from '../certificate/chart-primitives.ts';
import type { Band, Interval } from '../judge/verdict.ts';
import { bandWords, signedStops } from '../judge/verdict-words.ts';
import type { StageId } from '../record/job.ts';
import { intervalWords } from './results-figures.ts';

export interface RunPoint {
  readonly ordinal: number;
  /** EV; null without a time: it stands on the lower edge. */
  readonly error: number | null;
  readonly counts: boolean;
  readonly suspect: boolean;
  readonly chosen: boolean;
}

export interface RunOrder {
  readonly stage: StageId;
  readonly points: readonly RunPoint[];
  readonly band: Band;
  readonly mean: number | null;
  /** 95 % interval of the mean. */
  readonly interval: Interval | null;
}

const LIMIT_DASH: Dash = [1.5, 1.5];
const INTERVAL_DASH: Dash = [4, 2];
/** Fewer firings than this stand as close as this many, so that two are not drawn at the two ends. */
const LEAST_COLUMNS = 8;
const TOP = 16;

/** Where firing `index` of `count` stands in a drawing of this width. */
export function runColumn(width: number, count: number, index: number): { from: number; to: number } {
  const left = 36;
  const pitch = (width - 4 - left) / Math.max(LEAST_COLUMNS, count);
  return { from: left + index * pitch, to: left + (index + 1) * pitch };
}

/**
 * The firings of a mark in the order they came: filled squares count, the suspect one has a ring around it,
 * crosses don't count; an arrow head stands for one that lies beyond the drawing.
 */
export function runOrderChart(run: RunOrder, width: number, height: number): readonly ChartPrimitive[] {
  const { points, band, mean, interval, stage } = run;
  const bottom = height - 12;
  const right = width - 4;
  const left = runColumn(width, points.length, 0).from;
  // What counts is always inside; one firing far off must not flatten the rest.
  const inside = [
    band.lower,
    band.upper,
    0,
    ...(interval ? [interval.lower, interval.upper] : []),
    ...points.flatMap(({ error, counts }) => (counts && error !== null ? [error] : [])),
  ];
  const margin = 0.12 * (Math.max(...inside) - Math.min(...inside)) || 0.1;
  const low = Math.min(...inside) - margin;
  const high = Math.max(...inside) + margin;
  const y = (error: number) => bottom - ((error - low) / (high - low)) * (bottom - TOP);
  const across = (tone: 'ink' | 'limit' | StageId, thick: number, dash: Dash, at: number) =>
    line(tone, thick, dash, [left, y(at)], [right, y(at)]);
  const shapes: ChartPrimitive[] = [
    rectangle('band', left, y(band.upper), right - left, y(band.lower) - y(band.upper)),
    ...[band.lower, band.upper].flatMap((limit) => [
      across('limit', 0.6, LIMIT_DASH, limit),
      label('ink', 'end', left - 4, y(limit) + 2.5, signedStops(stops(limit))),
    ]),
    across('ink', 0.6, null, 0),
    label('ink', 'end', left - 4, y(0) + 2.5, '0'),
  ];
  if (interval)
    shapes.push(
      across(stage, 0.8, INTERVAL_DASH, interval.lower),
      across(stage, 0.8, INTERVAL_DASH, interval.upper),
    );
  if (mean !== null) shapes.push(across(stage, 1.6, null, mean));
  const every = Math.max(1, Math.ceil((14 * points.length) / (right - left)));
  points.forEach((point, index) => {
    const { from, to } = runColumn(width, points.length, index);
    const x = (from + to) / 2;
    const size = Math.min(3, (to - from) / 3);
    if (point.chosen) shapes.push(line('ink', 0.5, null, [x, TOP], [x, bottom]));
    shapes.push(...pointShapes(point, x, y, size, [low, high], stage));
    if (index % every === 0 || point.chosen)
      shapes.push(label(point.chosen ? 'ink' : 'faint', 'middle', x, height - 2, String(point.ordinal)));
  });
  return [...shapes, ...legend(stage, width)];
}

function pointShapes(
  { error, counts, suspect }: RunPoint,
  x: number,
  y: (error: number) => number,
  size: number,
  [low, high]: readonly [number, number],
  stage: StageId,
): ChartPrimitive[] {
  if (error === null) return [marker('ink', 'cross', x, y(low) - size, size)];
  if (error > high) return [label('ink', 'middle', x, y(high) + 6, '▲', 8)];
  if (error < low) return [label('ink', 'middle', x, y(low), '▼', 8)];
  if (!counts) return [marker('ink', 'cross', x, y(error), size)];
  const square = marker(stage, 'square', x, y(error), size * 0.9);
  return suspect ? [square, marker('ink', 'ring', x, y(error), size * 2)] : [square];
}

function legend(stage: StageId, width: number): ChartPrimitive[] {
  const y = 5;
  const text = (x: number, words: string) => label('ink', 'start', x, y + 2.5, words, 6);
  const shapes: ChartPrimitive[] = [
    label('ink', 'start', 0, y + 2.5, 'EV'),
    line(stage, 1.6, null, [40, y], [54, y]),
    text(57, 'mean'),
    line(stage, 0.8, INTERVAL_DASH, [82, y], [96, y]),
    text(99, 'its 95 %'),
    marker(stage, 'square', 136, y, 2.5),
    text(141, 'counts'),
  ];
  if (width < 270) return shapes;
  return [
    ...shapes,
    marker(stage, 'square', 174, y, 2),
    marker('ink', 'ring', 174, y, 4),
    text(181, 'suspect'),
    marker('ink', 'cross', 216, y, 2.5),
    text(221, 'not counted'),
  ];
}

/** The drawing in words. */
export function runOrderWords({ points, band, mean, interval }: RunOrder): string {
  const counted = points.filter(({ counts }) => counts).length;
  return [
    `${points.length} firings in their order, ${counted} of them counted, against ${bandWords(band)}`,
    mean === null ? '' : `; mean ${signedStops(stops(mean))} EV`,
    interval === null ? '' : `, 95 % interval ${intervalWords(interval)}`,
  ].join('');
}
