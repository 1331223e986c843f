import { describe, expect, it } from 'vitest';
import { stageResult } from '../../app/certificate/stage-results.ts';
import type { Figures } from '../../app/measure/figures.ts';
import { STAGES } from '../../app/record/job.ts';
import { markFigures } from '../../app/screens/results-figures.ts';
import { firingLines, firingSentence, remarkWords } from '../../app/screens/results-firings.ts';
import { runOrderChart } from '../../app/screens/results-run-order-chart.ts';
import { stoppedDownFigures } from '../../app/screens/results-stopped-down-figures.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { inventedFigures, inventedFiring, inventedJob } from '../certificate/invented-job.ts';

const job = inventedJob();

/** Firings at 1/60 as found, of these times in ms. */
const firingsOf = (times: readonly number[], figures: Partial<Figures> = {}) =>
  times.map((ms, i) => inventedFiring('as found', '1/60', i + 1, inventedFigures(ms / 1000, figures)));

function linesOf(firings: ReturnType<typeof firingsOf>) {
  const result = stageResult(job, firings, 'as found');
  const { speed, statistics } = result.marks.find((mark) => mark.speed.label === '1/60')!;
  return firingLines(job, result.firings, speed, statistics);
}

describe('the firings of a mark', () => {
  it('have their time, their error against the mark, and what is to be said of them', () => {
    const firings = firingsOf([1000 / 60, 2000 / 60, 18]);
    const lines = linesOf([
      firings[0]!,
      firings[1]!,
      {
        ...firings[2]!,
        setAside: 'bumped',
        figures: inventedFigures(0.018, { remarks: [{ code: 'low peak' }] }),
      },
    ]);
    expect(lines.map(({ error }) => Number(error!.toFixed(3)))).toEqual([0, 1, 0.111]);
    expect(lines.map(({ why }) => why)).toEqual([null, null, 'set aside']);
    expect(remarkWords(lines[2]!)).toBe('set aside: bumped, low peak');
    expect(firingSentence(lines[1]!)).toBe('firing 2: 33.3 ms, +1.00 EV');
  });

  it('mark the suspect one among those that count, and count it all the same', () => {
    const sound = [16.6, 16.7, 16.8, 16.65, 16.75, 16.7, 16.68, 16.72];
    const lines = linesOf([
      ...firingsOf([...sound, 25]),
      inventedFiring('as found', '1/60', 10, inventedFigures(0.9), { setAside: 'stalled' }),
    ]);
    expect(lines.filter(({ suspect }) => suspect).map(({ ordinal }) => ordinal)).toEqual([9]);
    expect(lines[8]!.why).toBeNull();
    expect(linesOf(firingsOf(sound)).some(({ suspect }) => suspect)).toBe(false);
  });

  it('of which a spoilt one has no time', () => {
    const [firing] = firingsOf([16]);
    const spoilt = { ...firing!, firing: { ...firing!.firing, spoilt: 'data missing' as const } };
    expect(linesOf([spoilt])[0]).toMatchObject({ time: null, error: null, why: 'spoilt' });
  });
});

describe('the run order', () => {
  const band = { lower: stops(-0.5), upper: stops(0.5) };
  const point = (error: number | null, change: object = {}) => ({
    ordinal: 1,
    error,
    counts: true,
    suspect: false,
    chosen: false,
    ...change,
  });
  const draw = (points: ReturnType<typeof point>[]) =>
    runOrderChart({ stage: 'as left', points, band, mean: null, interval: null }, 360, 110)
      // Without the legend.
      .filter((shape) => !('y' in shape) || shape.y > 12);
  const shapes = (points: ReturnType<typeof point>[]) =>
    draw(points).flatMap((shape) => (shape.kind === 'marker' ? [shape.shape] : []));

  it('has a sign of its own for each kind of firing', () => {
    expect(shapes([point(0.1)])).toEqual(['square']);
    expect(shapes([point(0.1, { suspect: true })])).toEqual(['square', 'ring']);
    expect(shapes([point(0.1, { counts: false })])).toEqual(['cross']);
    expect(shapes([point(null, { counts: false })])).toEqual(['cross']);
  });

  it('keeps what counts inside, and shows by an arrow what lies far off and does not', () => {
    const texts = (points: ReturnType<typeof point>[]) =>
      draw(points).flatMap((shape) => (shape.kind === 'text' ? [shape.text] : []));
    expect(texts([point(3)])).not.toContain('▲');
    expect(texts([point(0), point(6, { counts: false })])).toContain('▲');
    expect(texts([point(0), point(-6, { counts: false })])).toContain('▼');
    for (const shape of draw([point(3), point(-2)]))
      if (shape.kind === 'marker') {
        expect(shape.y).toBeGreaterThan(12);
        expect(shape.y).toBeLessThan(100);
      }
  });
});

describe('stopped down', () => {
  it('is the mean in stops over the firings that count', () => {
    const at = (times: readonly number[]) => ({
      effective: seconds(times[0]!),
      stoppedDown: times.slice(1).map(seconds),
    });
    const firings = [
      inventedFiring('as found', '1/60', 1, inventedFigures(0, at([0.016, 0.018, 0.02]))),
      inventedFiring('as found', '1/60', 2, inventedFigures(0, at([0.017, 0.0195, 0.021]))),
      inventedFiring('as found', '1/60', 3, inventedFigures(0, at([0.1, 0.2, 0.4])), { setAside: 'stalled' }),
    ];
    const figures = stoppedDownFigures(linesOf(firings));
    expect(figures.map(({ down }) => down)).toEqual([0, 1, 2]);
    expect(figures[0]).toMatchObject({ longer: 0 });
    expect(figures[1]!.time).toBeCloseTo(Math.sqrt(0.018 * 0.0195), 12);
    expect(figures[2]!.longer).toBeCloseTo(Math.log2(Math.sqrt((0.02 * 0.021) / (0.016 * 0.017))), 12);
    expect(stoppedDownFigures(linesOf(firingsOf([16])))).toEqual([]);
  });
});

describe('the figures of a mark', () => {
  const figuresOf = (firings: ReturnType<typeof firingsOf>, mark: string) => {
    const results = STAGES.map((stage) => stageResult(job, firings, stage));
    return markFigures(job, results).find((one) => one.mark === mark)?.figures;
  };

  it('agree with each other in table and sentence', () => {
    const found = figuresOf(firingsOf([17, 17.5, 18]), '1/60')!['as found']!;
    expect(found).toMatchObject({
      n: '3',
      verdict: 'within',
      sign: 'within',
      tone: 'within',
      erratic: false,
    });
    expect(found.sentence).toContain(`${found.mean} (1/57 s), ${found.error} EV, 95 % ${found.meanInterval}`);
    expect(found.sentence).toContain('3 firings: within');
  });

  it('say slow, erratic and too few', () => {
    expect(figuresOf(firingsOf([30, 31, 32]), '1/60')!['as found']).toMatchObject({
      sign: 'slow',
      tone: 'beyond',
      verdict: 'slow',
    });
    expect(figuresOf(firingsOf([14, 18, 22]), '1/60')!['as found']!.erratic).toBe(true);
    const few = figuresOf(firingsOf([17]), '1/60')!['as found']!;
    expect(few).toMatchObject({ verdict: '1 of 3', tone: 'quiet', sd: '–', conformity: '–', expanded: '–' });
    expect(few.sentence).toMatch(/: 1 of 3 firings/);
  });

  it('are not there for a mark and stage without a firing, and say what was recorded instead of one', () => {
    const firings = firingsOf([17, 17.5, 18]);
    expect(figuresOf(firings, '1/60')!['as left']).toBeNull();
    expect(figuresOf(firings, '1/125')).toBeUndefined();
    expect(figuresOf(firings, '1')!['as found']).toMatchObject({
      verdict: 'did not fire',
      sign: 'unwell',
      mean: '–',
    });
    expect(figuresOf(firings, '1')!['as found']!.sentence).toBe('did not fire');
  });
});
