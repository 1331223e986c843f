import { type ChartPrimitive, label, line, marker, rectangle } from '../certificate/chart-primitives.ts';
import { METER_LIMITS, type MeterPointResult } from '../judge/exposure-meter.ts';
import { signed } from '../judge/verdict-words.ts';

const LEFT = 30;
const RIGHT = 8;
const TOP = 14;
const BOTTOM = 22;

/** Error of a meter against the exposure value of the light, with the limits within which it is usable. */
export function meterChart(
  points: readonly MeterPointResult[],
  width: number,
  height: number,
): readonly ChartPrimitive[] {
  const errors = points.map(({ error }) => error);
  const limit = METER_LIMITS.error;
  const [low, high] = [Math.min(-1, ...errors), Math.max(1, ...errors)].map((stop) =>
    stop < 0 ? Math.floor(stop - 1e-9) : Math.ceil(stop + 1e-9),
  ) as [number, number];
  const expected = points.map((point) => point.expected);
  const from = Math.floor(Math.min(...expected) - 0.5);
  const to = Math.ceil(Math.max(...expected) + 0.5);
  const x = (ev: number) => LEFT + ((ev - from) / (to - from)) * (width - RIGHT - LEFT);
  const y = (error: number) => TOP + ((high - error) / (high - low)) * (height - BOTTOM - TOP);
  const shapes: ChartPrimitive[] = [
    rectangle('band', LEFT, y(limit), width - RIGHT - LEFT, y(-limit) - y(limit)),
    label('ink', 'start', 0, 7, 'error, EV'),
    label('faint', 'middle', (LEFT + width - RIGHT) / 2, height - 2, 'EV of the light'),
  ];
  for (let stop = low; stop <= high; stop++)
    shapes.push(
      line(
        stop === 0 ? 'ink' : 'grid',
        stop === 0 ? 0.8 : 0.4,
        null,
        [LEFT, y(stop)],
        [width - RIGHT, y(stop)],
      ),
      label('ink', 'end', LEFT - 4, y(stop) + 2.5, signed(stop, 0)),
    );
  const every = Math.ceil((to - from) / 12);
  for (let ev = from; ev <= to; ev += every)
    shapes.push(label('ink', 'middle', x(ev), height - BOTTOM + 10, signed(ev, 0).replace('+', '')));
  const sorted = [...points].sort((a, b) => a.expected - b.expected);
  if (sorted.length > 1)
    shapes.push(line('faint', 0.6, [3, 2], ...sorted.map((p) => [x(p.expected), y(p.error)] as const)));
  for (const { expected: at, error } of sorted)
    shapes.push(marker('as left', 'square', x(at), y(error), 2.5));
  return shapes;
}
