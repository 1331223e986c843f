/**
 * The chart of error against marked speed, as plain shapes: bands in the background, as found as rings on a
 * broken line, as left as squares on a solid one, each with a whisker over the interval of its mean.
 */
import type { StageId } from '../record/job.ts';
import type { CertificateChart, ChartMark } from './certificate.ts';
import {
  type Anchor,
  type ChartPrimitive,
  type Dash,
  label,
  line,
  type MarkerShape,
  marker,
  rectangle,
} from './chart-primitives.ts';

export const STAGE_DASH: { readonly [stage in StageId]: Dash } = {
  'as found': [3, 2],
  trials: [1, 2],
  'after rest': [6, 2],
  'as left': null,
};
export const STAGE_SHAPE: { readonly [stage in StageId]: MarkerShape } = {
  'as found': 'ring',
  trials: 'triangle',
  'after rest': 'diamond',
  'as left': 'square',
};
/** Width of a legend entry: its sign, and its letters at about 3.4 units each. */
const legendWidth = (stage: StageId) => 34 + 3.4 * stage.length;
const LIMIT_DASH: Dash = [1.5, 1.5];
const NOTE_LEADING = 7;

export interface ErrorScale {
  /** EV. */
  readonly lowest: number;
  readonly highest: number;
  readonly step: number;
}

/**
 * Further from its point than this, in EV, a whisker doesn't stretch the scale: two firings that disagree may have
 * one of twenty stops, beside which everything else would be a line. Where it leaves the chart it ends in an arrow.
 */
const LONGEST_WHISKER = 2;

/** A scale in EV that holds every point with its interval, every band, and half a stop to each side of zero. */
export function errorScale({ marks, stages }: Pick<CertificateChart, 'marks' | 'stages'>): ErrorScale {
  let low = -0.5;
  let high = 0.5;
  for (const mark of marks) {
    low = Math.min(low, mark.lower);
    high = Math.max(high, mark.upper);
    for (const stage of stages) {
      const reading = mark.stages[stage];
      if (reading === null) continue;
      low = Math.min(
        low,
        Math.max(reading.interval?.lower ?? reading.error, reading.error - LONGEST_WHISKER),
      );
      high = Math.max(
        high,
        Math.min(reading.interval?.upper ?? reading.error, reading.error + LONGEST_WHISKER),
      );
    }
  }
  const extent = high - low;
  const step = extent <= 1.6 ? 0.25 : extent <= 3.5 ? 0.5 : 2 ** Math.ceil(Math.log2(extent / 8));
  return { lowest: Math.floor(low / step) * step, highest: Math.ceil(high / step) * step, step };
}

interface Plot {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  /** Width of one mark. */
  readonly pitch: number;
  readonly scale: ErrorScale;
  readonly stages: readonly StageId[];
}

/** Beside its tick, and not between two of them where there are few marks. */
const FARTHEST_APART = 24;
const centre = (plot: Plot, index: number) => plot.left + (index + 0.5) * plot.pitch;
const level = (plot: Plot, error: number) =>
  plot.bottom -
  ((error - plot.scale.lowest) / (plot.scale.highest - plot.scale.lowest)) * (plot.bottom - plot.top);

/** From where to where the marks stand, each on an equal share: for what is laid over or under the chart. */
export const marksSpan = (width: number) => ({ left: 44, right: width - 4 });

/**
 * Shapes of the chart in drawing order. Width and height of the whole area in points or px; lettering is 5.5 to 7 of
 * that unit whatever the size, so about 500 wide and 160 high is meant.
 */
export function errorChart(
  chart: CertificateChart,
  width: number,
  height: number,
): readonly ChartPrimitive[] {
  const { marks, stages } = chart;
  if (marks.length === 0) {
    return [label('faint', 'middle', width / 2, height / 2, 'No marked speed to show.', 8)];
  }
  const { left, right } = marksSpan(width);
  const pitch = (right - left) / marks.length;
  const deepestNote = Math.max(
    ...marks.flatMap((mark) =>
      stages.map((stage) => noteLines(mark.notes[stage], pitch / stages.length).length),
    ),
  );
  const plot: Plot = {
    left,
    right,
    top: 22,
    bottom: height - 16 - deepestNote * NOTE_LEADING,
    pitch,
    scale: errorScale(chart),
    stages,
  };
  return [
    ...marks.flatMap((mark, index) => bandShapes(plot, mark, index)),
    ...scaleShapes(plot),
    ...marks.flatMap((mark, index) => markLabel(plot, mark, index)),
    ...stages.flatMap((stage) => connections(plot, marks, stage)),
    ...stages.flatMap((stage) => marks.flatMap((mark, index) => reading(plot, mark, index, stage))),
    ...legend(stages, width),
  ];
}

function bandShapes(plot: Plot, mark: ChartMark, index: number): ChartPrimitive[] {
  const from = plot.left + index * plot.pitch;
  const to = from + plot.pitch;
  const upper = level(plot, mark.upper);
  const lower = level(plot, mark.lower);
  return [
    rectangle('band', from, upper, plot.pitch, lower - upper),
    line('limit', 0.6, LIMIT_DASH, [from, upper], [to, upper]),
    line('limit', 0.6, LIMIT_DASH, [from, lower], [to, lower]),
  ];
}

function scaleShapes(plot: Plot): ChartPrimitive[] {
  const { lowest, highest, step } = plot.scale;
  const shapes: ChartPrimitive[] = [];
  const steps = Math.round((highest - lowest) / step);
  for (let i = 0; i <= steps; i++) {
    const error = lowest + i * step;
    const zero = Math.abs(error) < step / 2;
    const y = level(plot, error);
    shapes.push(
      line(zero ? 'ink' : 'grid', zero ? 0.8 : 0.4, null, [plot.left, y], [plot.right, y]),
      label('ink', 'end', plot.left - 5, y + 2.5, zero ? '0' : signed(error, step)),
    );
  }
  shapes.push(
    label('ink', 'start', 0, 8, 'Error, EV'),
    label('faint', 'start', 0, plot.top + 2.5, 'slow'),
    label('faint', 'start', 0, plot.bottom + 2.5, 'fast'),
  );
  return shapes;
}

/** With its sign and as many decimals as the step of the scale needs. */
function signed(error: number, step: number): string {
  const decimals = step >= 1 ? 0 : step >= 0.5 ? 1 : 2;
  return `${error > 0 ? '+' : '−'}${Math.abs(error).toFixed(decimals)}`;
}

function markLabel(plot: Plot, mark: ChartMark, index: number): ChartPrimitive[] {
  const x = centre(plot, index);
  const tick = line('limit', 0.6, null, [x, plot.bottom], [x, plot.bottom + 3]);
  // '1/1000' is about 24 wide at this size; where marks stand closer, only some are lettered.
  const every = Math.max(1, Math.ceil(26 / plot.pitch));
  return index % every === 0 ? [tick, label('ink', 'middle', x, plot.bottom + 11, mark.mark)] : [tick];
}

/** Stages stand beside each other within their mark, so that their whiskers stay apart. */
function position(plot: Plot, index: number, stage: StageId): number {
  const { stages, pitch } = plot;
  const apart = Math.min(Math.min(0.28, 0.66 / Math.max(1, stages.length - 1)) * pitch, FARTHEST_APART);
  return centre(plot, index) + (stages.indexOf(stage) - (stages.length - 1) / 2) * apart;
}

/** Lines between neighbouring marks that both have a reading. */
function connections(plot: Plot, marks: readonly ChartMark[], stage: StageId): ChartPrimitive[] {
  return marks.flatMap((mark, index) => {
    const before = marks[index - 1]?.stages[stage] ?? null;
    const here = mark.stages[stage];
    if (before === null || here === null) return [];
    return [
      line(
        stage,
        0.8,
        STAGE_DASH[stage],
        [position(plot, index - 1, stage), level(plot, before.error)],
        [position(plot, index, stage), level(plot, here.error)],
      ),
    ];
  });
}

function reading(plot: Plot, mark: ChartMark, index: number, stage: StageId): ChartPrimitive[] {
  const x = position(plot, index, stage);
  const size = Math.min(3, plot.pitch / 8);
  const value = mark.stages[stage];
  const notes = noteLines(mark.notes[stage], plot.pitch / plot.stages.length).map((text, row) =>
    label(stage, ...notePlace(plot, index, stage), plot.bottom + 18 + row * NOTE_LEADING, text, 5.5),
  );
  if (value === null) {
    return notes.length === 0 ? [] : [marker(stage, 'cross', x, level(plot, 0), size), ...notes];
  }
  const shapes: ChartPrimitive[] = [];
  if (value.interval !== null) {
    const upper = Math.max(level(plot, value.interval.upper), plot.top);
    const lower = Math.min(level(plot, value.interval.lower), plot.bottom);
    shapes.push(
      line(stage, 0.8, null, [x, upper], [x, lower]),
      whiskerEnd(stage, x, upper, size, value.interval.upper > plot.scale.highest ? size : 0),
      whiskerEnd(stage, x, lower, size, value.interval.lower < plot.scale.lowest ? -size : 0),
    );
  }
  return [...shapes, marker(stage, STAGE_SHAPE[stage], x, level(plot, value.error), size), ...notes];
}

/** A bar, or the head of an arrow where the whisker goes on: `back` is how far its barbs stand back. */
const whiskerEnd = (stage: StageId, x: number, y: number, size: number, back: number): ChartPrimitive =>
  back === 0
    ? line(stage, 0.8, null, [x - size, y], [x + size, y])
    : line(stage, 0.8, null, [x - size, y + back], [x, y], [x + size, y + back]);

/** Two stages share a mark by halves, so that their words can't meet; otherwise a note stands under its reading. */
function notePlace(plot: Plot, index: number, stage: StageId): [Anchor, number] {
  if (plot.stages.length !== 2) return ['middle', position(plot, index, stage)];
  const middle = centre(plot, index);
  return stage === plot.stages[0] ? ['end', middle - 1.5] : ['start', middle + 1.5];
}

/** Broken at spaces, so that it fits into its share of the mark; about 2.8 units to a letter. */
function noteLines(note: string | null, room: number): readonly string[] {
  const lines: string[] = [];
  for (const word of note === null ? [] : note.split(' ')) {
    const longer = `${lines.at(-1)} ${word}`;
    if (lines.length > 0 && longer.length * 2.8 <= room) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

/** Names each line style, marker and the band, above the plot. */
function legend(stages: readonly StageId[], width: number): ChartPrimitive[] {
  const y = 6;
  const entries = stages.map(legendWidth);
  const all = entries.reduce((sum, entry) => sum + entry, 0);
  const from = Math.max(60, width - all - 178);
  const shapes = stages.flatMap((stage, index) => {
    const x = from + entries.slice(0, index).reduce((sum, entry) => sum + entry, 0);
    return [
      line(stage, 0.8, STAGE_DASH[stage], [x, y], [x + 22, y]),
      marker(stage, STAGE_SHAPE[stage], x + 11, y, 3),
      label('ink', 'start', x + 27, y + 2.5, stage),
    ];
  });
  const band = from + all;
  return [
    ...shapes,
    rectangle('band', band, y - 3.5, 18, 7),
    line('limit', 0.6, LIMIT_DASH, [band, y - 3.5], [band + 18, y - 3.5]),
    line('limit', 0.6, LIMIT_DASH, [band, y + 3.5], [band + 18, y + 3.5]),
    label('ink', 'start', band + 23, y + 2.5, 'band'),
    label('faint', 'start', band + 52, y + 2.5, 'whiskers: error ± U, about 95 %'),
  ];
}
