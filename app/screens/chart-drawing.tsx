import type { ChartPrimitive, Tone } from '../certificate/chart-primitives.ts';

const tones: Record<Tone, string> = {
  ink: 'var(--ink)',
  faint: 'var(--quiet)',
  grid: 'var(--line)',
  band: 'var(--band)',
  limit: 'var(--green)',
  'as found': 'var(--orange)',
  'as left': 'var(--blue)',
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
