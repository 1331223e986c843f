/**
 * Plain shapes that screen and PDF both draw. Coordinates: x to the right, y down, origin at the upper left
 * corner, in the unit of the chart's given size (points on paper, px on screen).
 */
import type { StageId } from '../record/job.ts';

/** What a colour is for; the screen gives its own colours in dark surroundings. */
export type Tone = 'ink' | 'faint' | 'grid' | 'band' | 'limit' | StageId;

/** For paper. As found and as left: vermilion and blue of Okabe and Ito's palette for all kinds of colour vision. */
export const PAPER_TONES: { readonly [tone in Tone]: string } = {
  ink: '#1c1c1c',
  faint: '#5f5f5f',
  grid: '#dedede',
  band: '#eceee9',
  limit: '#8a8f86',
  'as found': '#d55e00',
  trials: '#5f5f5f',
  'after rest': '#007a5a',
  'as left': '#0072b2',
};

export type Dash = readonly [dash: number, gap: number] | null;
/** 'ring' is an open circle, the others are filled; 'cross' stands for a mark without a reading. */
export type MarkerShape = 'ring' | 'triangle' | 'diamond' | 'square' | 'cross';
export type Anchor = 'start' | 'middle' | 'end';
type Point = readonly [x: number, y: number];

export interface ChartLine {
  readonly kind: 'line';
  readonly points: readonly Point[];
  readonly tone: Tone;
  readonly width: number;
  /** Null for a solid line. */
  readonly dash: Dash;
}

export interface ChartRectangle {
  readonly kind: 'rect';
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly tone: Tone;
}

export interface ChartMarker {
  readonly kind: 'marker';
  readonly shape: MarkerShape;
  readonly x: number;
  readonly y: number;
  /** Half the width. */
  readonly size: number;
  readonly tone: Tone;
}

/** Stands with its baseline at y. */
export interface ChartText {
  readonly kind: 'text';
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly size: number;
  readonly anchor: Anchor;
  readonly tone: Tone;
}

export type ChartPrimitive = ChartLine | ChartRectangle | ChartMarker | ChartText;

export const line = (tone: Tone, width: number, dash: Dash, ...points: Point[]): ChartLine => ({
  kind: 'line',
  points,
  tone,
  width,
  dash,
});

export const rectangle = (
  tone: Tone,
  x: number,
  y: number,
  width: number,
  height: number,
): ChartRectangle => ({ kind: 'rect', x, y, width, height, tone });

export const marker = (tone: Tone, shape: MarkerShape, x: number, y: number, size: number): ChartMarker => ({
  kind: 'marker',
  shape,
  x,
  y,
  size,
  tone,
});

export const label = (
  tone: Tone,
  anchor: Anchor,
  x: number,
  y: number,
  text: string,
  size = 7,
): ChartText => ({ kind: 'text', x, y, text, size, anchor, tone });
