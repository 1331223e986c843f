import { describe, expect, it } from 'vitest';
import { NO_FIGURES } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { overlayColumns } from '../../app/screens/results-overlay-columns.ts';
import { firingOf, knownFiring } from '../measure/known-firing.ts';
import { openingOf, SECONDS_PER_SAMPLE } from '../measure/known-light.ts';

const opening = openingOf(0.006, 'straight', 0.002);

function curve(id: string, seed: number, ppm = 0, counts = true, light = opening) {
  const firing = knownFiring(light, seed);
  const clock = { ppm, uncertainty: 1, observedSeconds: 60 };
  return { id, firing, figures: measureFiring(firing, { reference: null, clock }), ppm, counts };
}

const at = (columns: ReturnType<typeof overlayColumns>, id: string, ms: number) => {
  const place = columns.time.findIndex((time) => time >= ms);
  return columns.light.get(id)?.[place] ?? Number.NaN;
};

describe('curves over each other', () => {
  it('are half open at zero, whatever their phase against the sampling', () => {
    const columns = overlayColumns([curve('a', 1), curve('b', 2), curve('c', 3)]);
    expect([...columns.light.keys()]).toEqual(['a', 'b', 'c']);
    for (const id of ['a', 'b', 'c']) {
      // The straight edge rises by 1.3 % of the light from one sample to the next; noise is 0.5 %.
      expect(Math.abs(at(columns, id, 0) - 50)).toBeLessThan(3);
      expect(at(columns, id, -1.5)).toBeLessThan(3);
      expect(at(columns, id, 2)).toBeGreaterThan(97);
    }
    for (let i = 1; i < columns.time.length; i++)
      expect(columns.time[i]! - columns.time[i - 1]!).toBeCloseTo(1000 * SECONDS_PER_SAMPLE, 9);
  });

  it('follow the clock that the figures follow', () => {
    const corrected = curve('a', 4, 5000);
    expect(Math.abs(at(overlayColumns([corrected]), 'a', 0) - 50)).toBeLessThan(3);
    // The record begins 0.22 s before the light: 5000 ppm of that are 1.1 ms, half of the edge.
    expect(Math.abs(at(overlayColumns([{ ...corrected, ppm: 0 }]), 'a', 0) - 50)).toBeGreaterThan(30);
  });

  it('keep a spike of one sample when a long firing is drawn with few points', () => {
    const long = curve('a', 5, 0, true, openingOf(0.5, 'straight', 0.002));
    const samples = long.firing.samples.slice();
    samples[Math.round(0.45 / SECONDS_PER_SAMPLE)] = 40;
    const { time, light } = overlayColumns([{ ...long, firing: firingOf(samples) }]);
    expect(time.length).toBeLessThanOrEqual(2000);
    const open = light.get('a')!.filter((_, i) => time[i]! > 5 && time[i]! < 490);
    expect(Math.min(...open.map((value) => value ?? 100))).toBeLessThan(20);
    expect(open.filter((value) => value !== null && value < 90)).toHaveLength(1);
    for (let i = 1; i < time.length; i++) expect(time[i]!).toBeGreaterThan(time[i - 1]!);
  });

  it('show the stretch of the firings that count, and nothing where there is no sample', () => {
    const long = curve('stalled', 6, 0, false, openingOf(0.4, 'straight', 0.002));
    const { time, light } = overlayColumns([curve('a', 7), long]);
    expect(time.at(-1)).toBeLessThan(15);
    expect(light.get('stalled')!.at(-1)).toBeGreaterThan(95);

    const short = curve('short', 8);
    const half = firingOf(short.firing.samples.subarray(0, Math.round(0.223 / SECONDS_PER_SAMPLE)));
    const cut = overlayColumns([curve('a', 7), { ...short, firing: half }]);
    expect(cut.light.get('short')!.at(-1)).toBeNull();
  });

  it('leave out what has no opening to align at', () => {
    const firing = firingOf(new Uint8Array(2000).fill(12));
    const none = { id: 'dark', firing, figures: NO_FIGURES, ppm: 0, counts: false };
    expect(overlayColumns([none])).toEqual({ time: [], light: new Map() });
    expect(overlayColumns([none, curve('a', 9)]).light.has('dark')).toBe(false);
  });
});
