import { type ChartPrimitive, label, line, rectangle } from '../certificate/chart-primitives.ts';
import type { ContactColumns, Stretch } from './camera-contact-columns.ts';

const LEFT = 42;
const RIGHT = 6;
const TOP = 8;
/** Under the curve: a bar for the contact, one for the flash, then the scale of time. */
const BAR = 11;
const GAP = 5;

/** Where a time stands in a drawing of this width. */
export const contactX = ({ window }: ContactColumns, width: number, ms: number): number =>
  LEFT + ((ms - window.from) / (window.to - window.from)) * (width - RIGHT - LEFT);

/**
 * The light curve with the contact's closed times as a bar under it, and at X the time that the flash lights.
 * `at`: where the plot is read, in ms.
 */
export function contactChart(
  columns: ContactColumns,
  setting: 'X' | 'M',
  at: number | null,
  width: number,
  height: number,
): readonly ChartPrimitive[] {
  const { time, light, window, closed, flash } = columns;
  const bars = setting === 'X' ? 2 : 1;
  const bottom = height - 24 - bars * (BAR + GAP);
  const x = (ms: number) => contactX(columns, width, Math.min(window.to, Math.max(window.from, ms)));
  const most = Math.max(112, ...light);
  const least = Math.min(-6, ...light);
  const y = (percent: number) => TOP + ((most - percent) / (most - least)) * (bottom - TOP);
  const shapes: ChartPrimitive[] = [];

  for (const percent of [0, 50, 100])
    shapes.push(
      line('grid', 0.5, null, [LEFT, y(percent)], [width - RIGHT, y(percent)]),
      label('ink', 'end', LEFT - 4, y(percent) + 3, `${percent} %`, 8),
    );
  // What the closure is held against: the flash must lie between the instants of 90 %, M must lead that of 80 %.
  const asked = setting === 'X' ? 90 : 80;
  const instants = setting === 'X' ? [columns.open90, columns.closing90] : [columns.open80];
  shapes.push(line('limit', 0.7, [4, 3], [LEFT, y(asked)], [width - RIGHT, y(asked)]));
  shapes.push(label('limit', 'end', LEFT - 4, y(asked) + 3, `${asked} %`, 8));
  for (const ms of instants)
    if (ms !== null) shapes.push(line('limit', 0.7, [4, 3], [x(ms), y(asked)], [x(ms), bottom + GAP]));

  for (const ms of timeSteps(window)) {
    shapes.push(line('grid', 0.5, null, [x(ms), bottom], [x(ms), bottom + 3]));
    shapes.push(label('ink', 'middle', x(ms), height - 14, String(ms).replace('-', '−'), 8));
  }
  shapes.push(label('faint', 'middle', (LEFT + width) / 2, height - 4, 'ms from first light', 8));
  shapes.push(line('as left', 1.4, null, ...time.map((ms, i) => [x(ms), y(light[i]!)] as const)));

  const bar = (row: number, name: string, stretches: readonly Stretch[], tone: 'ink' | 'as found') => {
    const top = bottom + GAP + row * (BAR + GAP);
    shapes.push(label('ink', 'end', LEFT - 4, top + BAR - 2.5, name, 8));
    shapes.push(line('grid', 0.5, null, [LEFT, top + BAR / 2], [width - RIGHT, top + BAR / 2]));
    for (const { from, to } of stretches)
      shapes.push(rectangle(tone, x(from), top, Math.max(0.6, x(to) - x(from)), BAR));
  };
  bar(0, 'contact', closed, 'ink');
  if (setting === 'X') bar(1, 'flash', flash === null ? [] : [flash], 'as found');
  if (at !== null) shapes.push(line('ink', 0.8, [1.5, 2.5], [x(at), TOP], [x(at), height - 24]));
  return shapes;
}

/** Round times within the window, not more than nine. */
function timeSteps({ from, to }: Stretch): readonly number[] {
  const size = 10 ** Math.floor(Math.log10((to - from) / 8));
  const step = [1, 2, 5, 10].map((n) => n * size).find((each) => (to - from) / each <= 8) ?? 10 * size;
  const steps: number[] = [];
  for (let i = Math.ceil(from / step); i * step <= to; i++) steps.push(Number((i * step).toPrecision(10)));
  return steps;
}
