import type { MeterAdvice, MeterResult } from '../judge/exposure-meter.ts';
import { meterAdviceHeading, meterSentences } from '../judge/exposure-meter-sentences.ts';
import type { MeterTest } from '../judge/meter-test.ts';
import { signed, signedStops } from '../judge/verdict-words.ts';
import { meterChart } from './camera-meter-chart.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import { Glyph, type Sign } from './glyphs.tsx';
import { useWidth } from './results-width.ts';

const signs: Record<MeterAdvice, readonly [Sign, string]> = {
  usable: ['within', 'within'],
  'usable with correction': ['asks', 'beyond'],
  'not to be relied on': ['unwell', 'beyond'],
  'too few points': ['waiting', 'quiet'],
  'light not known well enough': ['asks', 'beyond'],
};

const PX_PER_UNIT = 1.6;
const HEIGHT = 220;

/** Advice first, then what it rests on. */
export function MeterFindings({ meter, result }: { meter: MeterTest; result: MeterResult }) {
  const [host, px] = useWidth<HTMLDivElement>(560);
  const [sign, tone] = signs[result.advice];
  const sentences = meterSentences(meter, result);
  const { points } = result;
  return (
    <section class="card" aria-label="What the readings of the meter say" data-advice={result.advice}>
      <p class={`verdict ${tone}`} role="status">
        <Glyph sign={sign} /> {meterAdviceHeading(result.advice)}
      </p>
      {points.length > 0 && (
        <div ref={host}>
          <ChartDrawing
            primitives={meterChart(points, px / PX_PER_UNIT, HEIGHT / PX_PER_UNIT)}
            width={px / PX_PER_UNIT}
            height={HEIGHT / PX_PER_UNIT}
            description={`Error of the meter against the light: ${points
              .map(({ expected, error }) => `at EV ${signed(expected, 1)} ${signedStops(error)} EV`)
              .join('; ')}`}
          />
        </div>
      )}
      <ul class="plain">
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
