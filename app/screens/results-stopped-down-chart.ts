import { STAGE_DASH, STAGE_SHAPE } from '../certificate/chart.ts';
import { type ChartPrimitive, label, line, marker } from '../certificate/chart-primitives.ts';
import type { StageId } from '../record/job.ts';
import type { AtStop } from './results-stopped-down-figures.ts';

const LEFT = 30;
const TOP = 16;

/** Where one of `count` stops stands in a drawing of this width. */
export function stopColumn(width: number, count: number, index: number): { from: number; to: number } {
  const pitch = (width - 6 - LEFT) / count;
  return { from: LEFT + index * pitch, to: LEFT + (index + 1) * pitch };
}

/** How much longer the light lasts at each stop, against wide open. */
export function stoppedDownChart(
  figures: readonly AtStop[],
  stage: StageId,
  width: number,
  height: number,
): readonly ChartPrimitive[] {
  const bottom = height - 22;
  const most = Math.max(0.25, ...figures.map(({ longer }) => longer));
  const step = most <= 0.5 ? 0.25 : most <= 1 ? 0.5 : 1;
  const steps = Math.ceil(most / step - 1e-9);
  const y = (longer: number) => bottom - (longer / (steps * step)) * (bottom - TOP);
  const x = (index: number) => {
    const { from, to } = stopColumn(width, figures.length, index);
    return (from + to) / 2;
  };
  const shapes: ChartPrimitive[] = [
    label('ink', 'start', 0, 7, 'EV against wide open'),
    label('faint', 'middle', (LEFT + width) / 2, height - 2, 'stops down'),
  ];
  for (let i = 0; i <= steps; i++)
    shapes.push(
      line(
        i === 0 ? 'ink' : 'grid',
        i === 0 ? 0.8 : 0.4,
        null,
        [LEFT, y(i * step)],
        [width - 6, y(i * step)],
      ),
      label('ink', 'end', LEFT - 4, y(i * step) + 2.5, i === 0 ? '0' : `+${i * step}`),
    );
  shapes.push(
    line(stage, 0.8, STAGE_DASH[stage], ...figures.map((at, i) => [x(i), y(at.longer)] as const)),
    ...figures.flatMap((at, i) => [
      marker(stage, STAGE_SHAPE[stage], x(i), y(at.longer), 3),
      label('ink', 'middle', x(i), bottom + 10, String(at.down)),
    ]),
  );
  return shapes;
}
