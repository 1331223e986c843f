import { describe, expect, it } from 'vitest';
import { LightCheck } from '../../app/measure/light-check.ts';
import type { LightCheckResult, LightProblem } from '../../app/measure/light-check-result.ts';
import { lightCheckSentences, lightProblemSentence } from '../../app/measure/light-check-sentences.ts';
import { seededRandom } from '../seeded-random.ts';
import { convert, SECONDS_PER_SAMPLE, USUAL } from './known-light.ts';

const FULL_SCALE = 255;
const constant = () => 1;

interface Bench {
  readonly dark?: (time: number) => number;
  readonly light?: (time: number) => number;
  readonly darkSeconds?: number;
  readonly openSeconds?: number;
  readonly levels?: typeof USUAL;
  readonly seed?: number;
}

const samplesOf = (time: number) => Math.round(time / SECONDS_PER_SAMPLE);

/** Dark and open samples of one check; light as a share of the usual height against seconds. */
function samples({
  dark = () => 0,
  light = constant,
  darkSeconds = 1.05,
  openSeconds = 2.1,
  levels = USUAL,
  seed = 1,
}: Bench = {}) {
  const random = seededRandom(seed);
  return {
    dark: convert(dark, samplesOf(darkSeconds), levels, random),
    open: convert(light, samplesOf(openSeconds), levels, random),
  };
}

const newCheck = () => new LightCheck({ secondsPerSample: SECONDS_PER_SAMPLE, fullScale: FULL_SCALE });

function checked(bench: Bench = {}): LightCheckResult {
  const { dark, open } = samples(bench);
  const check = newCheck();
  check.addDark(dark);
  check.addOpen(open);
  return check.result();
}

const ripple = (hertz: number, amplitude: number) => (time: number) =>
  1 + amplitude * Math.sin(2 * Math.PI * hertz * time + 1);

describe('levels of the light', () => {
  it('of a sound bench are read and pass', () => {
    const result = checked({ darkSeconds: 2.1, openSeconds: 12 });
    // The converter cuts off: every level reads half a step low.
    expect(result.dark).toBeCloseTo(USUAL.dark - 0.5, 1);
    expect(result.noise).toBeCloseTo(Math.sqrt(1 + 1 / 12), 1);
    expect(result.height).toBeCloseTo(200, 1);
    expect(result.headroom).toBeCloseTo((255 - 211.8) / 255, 2);
    expect(result.darkSeconds).toBeGreaterThan(2);
    expect(result.openSeconds).toBeGreaterThan(11.8);
    expect(result.flicker).toBeNull();
    expect(result.problems).toEqual([]);
    expect(lightCheckSentences(result)).toEqual([
      expect.stringMatching(/^Dark at 11\.8 steps, noise 1\.0\d steps/),
      expect.stringMatching(/^Open light 200\.0 ± 0\.0 steps above dark, 17 % of the range/),
      'No flicker of 100 or 120 Hz stands out of the noise.',
      expect.stringMatching(/^Drift [+−]0\.\d\d % of the light per minute/),
    ]);
  });

  it('do not depend on how the samples are divided', () => {
    const { dark, open } = samples({ openSeconds: 10.3, light: ripple(100, 0.02) });
    const whole = newCheck();
    whole.addDark(dark);
    whole.addOpen(open);
    const random = seededRandom(5);
    const pieces = newCheck();
    for (const [values, add] of [
      [dark, (part: Uint8Array) => pieces.addDark(part)],
      [open, (part: Uint8Array) => pieces.addOpen(part)],
    ] as const) {
      for (let from = 0; from < values.length; ) {
        const to = from + 1 + Math.floor(random() * 5000);
        add(values.subarray(from, to));
        from = to;
      }
    }
    expect(pieces.result()).toEqual(whole.result());
  });

  it('are as uncertain as the light of a moment is', () => {
    // Means of 1923 samples with a noise of 1 step: 0.024, and a little for the dark.
    const steady = checked({ openSeconds: 6 });
    expect(steady.heightUncertainty).toBeGreaterThan(0.02);
    expect(steady.heightUncertainty).toBeLessThan(0.03);
    expect(Math.abs(steady.height - 200)).toBeLessThan(0.02);
    // A change of 6 steps over the check: a rectangle of ± 3 steps.
    const drifting = checked({ openSeconds: 6, light: (time) => 1 + 0.005 * time });
    expect(drifting.heightUncertainty).toBeCloseTo(3 / Math.sqrt(3), 1);
  });

  it('are uncertain by their rounding where no noise dithers it', () => {
    const { heightUncertainty, height } = checked({ levels: { dark: 12.6, height: 199.7, noise: 0 } });
    expect(height).toBe(200);
    expect(heightUncertainty).toBeCloseTo(Math.sqrt(2 / 12), 6);
  });

  it('leave out blocks in which the shutter was not open', () => {
    const light = (time: number) => (time > 0.63 && time < 3.07 ? 1 : 0);
    const result = checked({ light, openSeconds: 4 });
    expect(result.height).toBeCloseTo(200, 1);
    expect(result.openSeconds).toBeLessThan(2.4);
    expect(result.openSeconds).toBeGreaterThan(1.9);
    expect(result.problems).toEqual([]);
  });

  it('need a second of either', () => {
    const check = newCheck();
    const { dark, open } = samples({ darkSeconds: 1.05, openSeconds: 0.9 });
    expect(() => check.result()).toThrow(RangeError);
    check.addDark(dark);
    expect(check.darkLevel).toBeCloseTo(11.8, 1);
    check.addOpen(open);
    expect(check.ready).toBe(false);
    expect(check.openSeconds).toBeCloseTo(0.9, 1);
    expect(() => check.result()).toThrow(/1 s of dark/);
    check.addOpen(open);
    expect(check.ready).toBe(true);
  });

  it('drop the block that a gap cuts', () => {
    const check = newCheck();
    const short = samples({ openSeconds: 0.09 }).open;
    for (let n = 0; n < 20; n++) {
      check.addOpen(short);
      check.gap();
    }
    expect(check.openSeconds).toBe(0);
  });
});

describe('flicker', () => {
  it.each([100, 120] as const)(
    'of %i Hz is found with its amplitude, and not taken for the other',
    (hertz) => {
      for (const amplitude of [0.002, 0.02, 0.3]) {
        const levels = { ...USUAL, height: 150 };
        const { flicker, problems } = checked({ light: ripple(hertz, amplitude), levels });
        expect(flicker!.hertz).toBe(hertz);
        expect(flicker!.amplitude / amplitude).toBeGreaterThan(0.95);
        expect(flicker!.amplitude / amplitude).toBeLessThan(1.05);
        expect(problems).toEqual(amplitude > 0.01 ? ['flicker'] : []);
      }
    },
  );

  it('is the stronger where there are both', () => {
    const both = (strong: number, weak: number) => (time: number) =>
      ripple(strong, 0.03)(time) + ripple(weak, 0.02)(time) - 1;
    expect(checked({ light: both(100, 120) }).flicker).toMatchObject({ hertz: 100 });
    expect(checked({ light: both(120, 100) }).flicker).toMatchObject({ hertz: 120 });
  });

  it('is found on a net that is half a hertz off', () => {
    const { flicker } = checked({ light: ripple(99.5, 0.02) });
    expect(flicker!.hertz).toBe(100);
    expect(flicker!.amplitude).toBeCloseTo(0.02, 3);
  });

  it('is not seen in noise, nor in hum at the mains frequency itself', () => {
    let seen = 0;
    for (let seed = 1; seed <= 40; seed++) if (checked({ seed, openSeconds: 1.1 }).flicker) seen++;
    expect(seen).toBeLessThanOrEqual(1);
    expect(checked({ light: ripple(50, 0.03) }).flicker).toBeNull();
    expect(checked({ light: ripple(60, 0.03) }).flicker).toBeNull();
  });
});

describe('drift', () => {
  const drifting = (perMinute: number) => (time: number) => 1 + (perMinute * time) / 60;

  it('is found with the uncertainty it scatters by', () => {
    let within = 0;
    const runs = 25;
    for (let seed = 1; seed <= runs; seed++) {
      const { drift } = checked({ light: drifting(0.004), openSeconds: 10.1, seed });
      if (Math.abs(drift!.perMinute - 0.004) < 2 * drift!.uncertainty) within++;
      expect(drift!.uncertainty).toBeLessThan(0.001);
    }
    expect(within).toBeGreaterThanOrEqual(20);
  });

  it('is a problem from half a percent per minute on', () => {
    expect(checked({ light: drifting(-0.02), openSeconds: 12 }).problems).toEqual(['drift']);
    expect(checked({ light: drifting(0.003), openSeconds: 12 }).problems).toEqual([]);
  });

  it('is not told from less than ten seconds', () => {
    expect(checked({ light: drifting(0.02), openSeconds: 9 }).drift).toBeNull();
  });

  it('is more uncertain where the lamp wanders', () => {
    const random = seededRandom(8);
    const steps: number[] = [];
    let wander = 0;
    for (let n = 0; n < 130; n++) {
      wander = 0.95 * wander + 0.001 * (random() - 0.5);
      steps.push(wander);
    }
    const wandering = checked({ light: (time) => 1 + steps[Math.floor(10 * time)]!, openSeconds: 12 });
    const steady = checked({ openSeconds: 12 });
    expect(wandering.drift!.uncertainty).toBeGreaterThan(4 * steady.drift!.uncertainty);
  });

  it('is not seen in a step behind a gap', () => {
    const check = newCheck();
    const { dark, open } = samples({ openSeconds: 6, seed: 3 });
    check.addDark(dark);
    check.addOpen(open);
    check.gap();
    check.addOpen(samples({ openSeconds: 6, seed: 4, levels: { ...USUAL, height: 190 } }).open);
    const { drift, openSeconds } = check.result();
    expect(openSeconds).toBeGreaterThan(11.5);
    expect(Math.abs(drift!.perMinute)).toBeLessThan(3 * drift!.uncertainty);
  });

  it('knows that levels without noise hide a slow change', () => {
    const levels = { dark: 12.5, height: 200, noise: 0 };
    const { drift } = checked({ light: drifting(0.001), openSeconds: 12, levels });
    expect(drift!.perMinute).toBe(0);
    expect(drift!.uncertainty).toBeGreaterThan(0.001);
  });
});

describe('what is to be changed', () => {
  it.each<[LightProblem, Bench, RegExp]>([
    [
      'dark unsteady',
      { dark: (time) => 0.01 * Math.floor(2 * time) },
      /more than one step .*cover the bench/,
    ],
    [
      'dark too bright',
      { levels: { dark: 40, height: 180, noise: 1 } },
      /stands at 40 steps.*cover the bench/,
    ],
    ['noisy', { levels: { dark: 20, height: 180, noise: 4 } }, /noise is 4\.0 steps, 2\.2 % of the light/],
    ['weak', { levels: { dark: 12.3, height: 80, noise: 1 } }, /only 80 steps above dark.*lamp nearer/],
    [
      'too bright',
      { levels: { dark: 12.3, height: 236, noise: 0.6 } },
      /leaves 2\.\d % of the range.*turn it down/,
    ],
    ['flicker', { light: ripple(100, 0.05) }, /flickers at 100 Hz by ±5\.0 %.*direct current/],
    [
      'drift',
      { light: (time) => 1 - time / 3000, openSeconds: 12 },
      /changes by −2\.0 % per minute.*warm up/,
    ],
  ])('%s', (problem, bench, sentence) => {
    const result = checked(bench);
    expect(result.problems).toEqual([problem]);
    expect(lightProblemSentence(problem, result)).toMatch(sentence);
  });

  it('is said of light whose crests are clipped, though its mean leaves room', () => {
    const result = checked({ light: ripple(100, 0.3), levels: { dark: 5, height: 200, noise: 1 } });
    expect(result.problems).toEqual(['too bright', 'flicker']);
    expect(lightProblemSentence('too bright', result)).toMatch(/now and then/);
  });

  it('is that the shutter was not opened: no light at all', () => {
    const result = checked({ light: () => 0, openSeconds: 12 });
    expect(result).toMatchObject({ flicker: null, drift: null, problems: ['weak'] });
    expect(lightProblemSentence('weak', result)).toMatch(/^No light came.*hold the shutter open/);
  });
});
