import type { ChartPrimitive, Tone } from '../certificate/chart-primitives.ts';
import type { StageId } from '../record/job.ts';
import './stage-colours.css';

export const STAGE_COLOURS: { readonly [stage in StageId]: string } = {
  'as found': 'var(--as-found)',
  trials: 'var(--trials)',
  'after rest': 'var(--after-rest)',
  'as left': 'var(--as-left)',
};

const tones: Record<Tone, string> = {
  ink: 'var(--ink)',
  faint: 'var(--quiet)',
  grid: 'var(--line)',
  band: 'var(--band)',
  limit: 'var(--green)',
  ...STAGE_COLOURS,
};

interface Props {
  readonly primitives: readonly ChartPrimitive[];
  readonly width: number;
  readonly height: number;
  readonly description: string;
}

/** Draws the certificate's shapes on screen, in the screen's colours. */
export function ChartDrawing({ primitives, width, height, description }: Props) {
  return (
    <svg viewBox={`0 0 ${width} ${height}`} class="across" role="img" aria-label={description}>
      {primitives.map((shape, i) => (
        <Shape key={i} shape={shape} />
      ))}
    </svg>
  );
}

function Shape({ shape }: { shape: ChartPrimitive }) {
  const tone = tones[shape.tone];
  switch (shape.kind) {
    case 'line':
      return (
        <polyline
          points={shape.points.map(([x, y]) => `${x},${y}`).join(' ')}
          fill="none"
          stroke={tone}
          stroke-width={shape.width}
          stroke-dasharray={shape.dash?.join(' ')}
        />
      );
    case 'rect':
      return <rect x={shape.x} y={shape.y} width={shape.width} height={shape.height} fill={tone} />;
    case 'text':
      return (
        <text x={shape.x} y={shape.y} font-size={shape.size} text-anchor={shape.anchor} fill={tone}>
          {shape.text}
        </text>
      );
    case 'marker': {
      const { x, y, size } = shape;
      if (shape.shape === 'ring')
        return <circle cx={x} cy={y} r={size} fill="none" stroke={tone} stroke-width={size / 3} />;
      if (shape.shape === 'square')
        return <rect x={x - size} y={y - size} width={2 * size} height={2 * size} fill={tone} />;
      if (shape.shape === 'triangle')
        return <path d={`M${x} ${y - size}l${size} ${2 * size}h${-2 * size}z`} fill={tone} />;
      if (shape.shape === 'diamond')
        return (
          <path
            d={`M${x} ${y - 1.3 * size}l${1.3 * size} ${1.3 * size}l${-1.3 * size} ${1.3 * size}l${-1.3 * size} ${-1.3 * size}z`}
            fill={tone}
          />
        );
      return (
        <path
          d={`M${x - size} ${y - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}`}
          stroke={tone}
          stroke-width={size / 3}
        />
      );
    }
  }
}
