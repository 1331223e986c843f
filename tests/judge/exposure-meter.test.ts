import { describe, expect, it } from 'vitest';
import { meterResult } from '../../app/judge/exposure-meter.ts';
import {
  meterAdviceHeading,
  meterCautions,
  meterErrorWords,
  meterSentences,
} from '../../app/judge/exposure-meter-sentences.ts';
import { exposureValueOfLight, exposureValueOfSetting } from '../../app/judge/exposure-values.ts';
import type { MeterTest } from '../../app/judge/meter-test.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { seededNormal } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';

/** At ISO 100 and K = 12.5: by the EV the light asks for, and the error of the meter there. */
function test(
  errors: readonly (readonly [ev: number, error: number])[],
  more: Partial<MeterTest> = {},
): MeterTest {
  return {
    notation: 'EV',
    iso: 100,
    constant: { kind: 'K', value: 12.5 },
    cell: 'not stated',
    battery: null,
    source: { words: 'light box', uncertainty: stops(0.1) },
    points: errors.map(([ev, error], index) => ({
      id: `p${index}`,
      light: 0.125 * 2 ** ev,
      reading: { ev: ev + error },
      note: '',
    })),
    ...more,
  };
}

const judged = (errors: readonly (readonly [number, number])[], more: Partial<MeterTest> = {}) =>
  meterResult(test(errors, more));

describe('the error at each point', () => {
  it('is what was read less what the light asks for at the film speed set', () => {
    const { points } = meterResult({
      ...test([]),
      iso: 400,
      points: [
        { id: 'a', light: 8, reading: { ev: 8.5 }, note: '' },
        { id: 'b', light: 8, reading: { fNumber: 5.6, seconds: 1 / 4 }, note: '' },
        { id: 'c', light: 8, reading: { fNumber: 5, seconds: 1 / 4 }, note: '' },
      ],
    });
    expect(points.map(({ id, expected }) => [id, expected])).toEqual([
      ['a', 8],
      ['b', 8],
      ['c', 8],
    ]);
    expect(points.map(({ read }) => read)).toEqual([8.5, 7, 2 * Math.log2(5) + 2]);
    expect(points.map(({ error }) => error)).toEqual([0.5, -1, 2 * Math.log2(5) - 6]);
  });

  it('of light falling in goes by C', () => {
    const { points } = meterResult({
      ...test([]),
      constant: { kind: 'C', value: 250 },
      points: [{ id: 'a', light: 40, reading: { ev: 4.25 }, note: '' }],
    });
    expect(points[0]).toEqual({ id: 'a', expected: 4, read: 4.25, error: 0.25 });
  });

  it('says which way the film suffers', () => {
    expect(meterErrorWords(stops(0.42))).toBe('too high by 0.42 stop: film gets too little light');
    expect(meterErrorWords(stops(-1.25))).toBe('too low by 1.25 stops: film gets too much light');
    expect(meterErrorWords(stops(0.004))).toBe('right');
  });
});

describe('settings as they are engraved or written', () => {
  it('whole steps stand for their exact values, also as decimals', () => {
    expect(exposureValueOfSetting(5.6, 0.0167)).toBe(11);
    expect(exposureValueOfSetting(11, 0.5)).toBe(8);
  });

  it('everything between is taken as written', () => {
    expect(exposureValueOfSetting(6, 1)).toBeCloseTo(2 * Math.log2(6), 12);
    expect(exposureValueOfSetting(1, 1 / 50)).toBeCloseTo(Math.log2(50), 12);
    expect(exposureValueOfSetting(1, 1 / 64)).toBeCloseTo(6, 12);
  });

  it('a third or half of a stop engraved is within 0.1 stop of that', () => {
    const thirds =
      '1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22';
    thirds.split(' ').forEach((label, index) => {
      if (label === '1.2') return; // a half and a third share this engraving: 2^0.25 or 2^(1/3)
      expect(Math.abs(exposureValueOfSetting(Number(label), 1) - index / 3), label).toBeLessThan(0.1);
    });
    const times = '1/6 1/10 1/13 1/20 1/25 1/40 1/50 1/80 1/100 1/160 1/200'.split(' ');
    const tvs = [8, 10, 11, 13, 14, 16, 17, 19, 20, 22, 23].map((third) => third / 3);
    times.forEach((label, index) => {
      const time = 1 / Number(label.slice(2));
      expect(Math.abs(exposureValueOfSetting(1, time) - tvs[index]!), label).toBeLessThan(0.1);
    });
  });

  it.each([0, -5.6, Number.NaN, Number.POSITIVE_INFINITY])('refuses %d', (bad) => {
    expect(() => exposureValueOfSetting(bad, 1)).toThrow(RangeError);
    expect(() => exposureValueOfSetting(8, bad)).toThrow(/The time must be a number above zero/);
    expect(() => exposureValueOfLight(bad, 100, 12.5)).toThrow(/strength of the light/);
    expect(() => exposureValueOfLight(8, bad, 12.5)).toThrow(/film speed/);
    expect(() => exposureValueOfLight(8, 100, bad)).toThrow(/constant of the meter/);
    const points = [{ id: 'a', light: 1, reading: { ev: bad - bad }, note: '' }];
    if (!Number.isFinite(bad)) expect(() => meterResult({ ...test([]), points })).toThrow(RangeError);
  });
});

describe('mean, spread and slope', () => {
  it('are missing as long as there is nothing to take them of', () => {
    expect(judged([])).toMatchObject({
      mean: null,
      range: null,
      spread: null,
      slope: null,
      meanInterval: null,
    });
    expect(judged([[8, 0.5]])).toMatchObject({ mean: 0.5, spread: null, slope: null, meanInterval: null });
    expect(
      judged([
        [8, 0],
        [12, 1],
      ]),
    ).toMatchObject({ mean: 0.5, slope: null, range: { lower: 8, upper: 12 } });
    expect(
      judged([
        [8, 0.1],
        [8, 0],
        [8, 0.2],
      ]).slope,
    ).toBeNull();
  });

  it('the slope of a tired cell is found with its interval', () => {
    // Read 0.8 EV for each EV, with ±0.05 on top: residuals known, t(0.975, 2) = 4.3027 (NIST table).
    const result = judged(
      [4, 8, 12, 16].map((ev, i) => [ev, -0.2 * (ev - 4) + [0.05, -0.05, -0.05, 0.05][i]!]),
    );
    expect(result.slope!.value).toBeCloseTo(0.8, 12);
    const half = 4.3027 * Math.sqrt((4 * 0.05 ** 2) / 2 / 80);
    expect(result.slope!.interval.upper - result.slope!.value).toBeCloseTo(half, 5);
    expect(result.slope!.value - result.slope!.interval.lower).toBeCloseTo(half, 5);
  });

  it('the interval of the slope holds the truth in 94 to 96 of a hundred tests', () => {
    const normal = seededNormal(seededRandom(20260501));
    let held = 0;
    const tests = 5000;
    for (let i = 0; i < tests; i++) {
      const { slope } = judged([6, 8, 10, 12, 14].map((ev) => [ev, -0.1 * ev + 0.15 * normal()]));
      if (slope!.interval.lower <= 0.9 && slope!.interval.upper >= 0.9) held++;
    }
    expect(held / tests).toBeGreaterThan(0.94);
    expect(held / tests).toBeLessThan(0.96);
  });

  it('carries the light’s uncertainty in the mean, however many points there are', () => {
    const errors = Array.from({ length: 40 }, (_, i) => [5 + 0.25 * i, i % 2 === 0 ? 0.01 : -0.01] as const);
    const { meanInterval } = judged(errors, { source: { words: 'lamp', uncertainty: stops(0.3) } });
    expect(meanInterval!.upper).toBeCloseTo(0.3, 2);
    const unstated = judged(errors, { source: { words: 'lamp', uncertainty: null } });
    expect(unstated.meanInterval!.upper).toBeLessThan(0.01);
  });
});

describe('advice', () => {
  it('usable: all points within half a stop, the limit included', () => {
    expect(
      judged([
        [4, 0.5],
        [8, -0.5],
        [12, 0],
      ]),
    ).toMatchObject({ advice: 'usable', correctionThirds: 0 });
    expect(
      judged([
        [4, 0.51],
        [8, -0.5],
        [12, 0],
      ]).advice,
    ).toBe('not to be relied on');
  });

  it('usable with one correction, in thirds of a stop', () => {
    expect(
      judged([
        [4, 1.1],
        [8, 0.9],
        [12, 1],
      ]),
    ).toMatchObject({
      advice: 'usable with correction',
      correctionThirds: -3,
    });
    expect(
      judged([
        [4, -0.8],
        [8, -0.6],
        [12, -0.7],
      ]),
    ).toMatchObject({ correctionThirds: 2 });
    expect(
      judged([
        [4, 2.1],
        [8, 1.9],
        [12, 2],
      ]).advice,
    ).toBe('usable with correction');
    expect(
      judged([
        [4, 2.6],
        [8, 2.3],
        [12, 2.4],
      ]).advice,
    ).toBe('not to be relied on');
  });

  it('not to be relied on where no one correction serves', () => {
    const result = judged([
      [4, 0],
      [8, -0.8],
      [12, -1.6],
    ]);
    expect(result).toMatchObject({ advice: 'not to be relied on', correctionThirds: 0 });
    expect(meterSentences(test([]), result)[0]).toContain('no one correction of up to 2.00 stops');
  });

  it('nothing for under three points, or three that lie close together', () => {
    expect(judged([]).advice).toBe('too few points');
    expect(
      judged([
        [4, 0],
        [12, 0],
      ]).advice,
    ).toBe('too few points');
    expect(
      judged([
        [4, 0],
        [5, 0],
        [6, 0],
      ]).advice,
    ).toBe('too few points');
    expect(
      judged([
        [4, 0],
        [5, 0],
        [7, 0],
      ]).advice,
    ).toBe('usable');
  });

  it('nothing where the light is known no better than the limit', () => {
    const source = { words: 'a lamp', uncertainty: stops(0.6) };
    expect(
      judged(
        [
          [4, 0],
          [8, 0],
          [12, 0],
        ],
        { source },
      ).advice,
    ).toBe('light not known well enough');
  });

  it('says so where the light’s uncertainty could have turned it', () => {
    const source = { words: 'a lamp', uncertainty: stops(0.2) };
    expect(
      judged(
        [
          [4, 0.2],
          [8, 0],
          [12, 0],
        ],
        { source },
      ).doubtful,
    ).toBe(false);
    const near = judged(
      [
        [4, 0.4],
        [8, 0],
        [12, 0],
      ],
      { source },
    );
    expect(near).toMatchObject({ advice: 'usable', doubtful: true });
    expect(meterSentences(test([]), near)[0]).toContain(
      'The uncertainty of the light could have turned this.',
    );
    const unstated = { words: 'a lamp', uncertainty: null };
    expect(
      judged(
        [
          [4, 0.4],
          [8, 0],
          [12, 0],
        ],
        { source: unstated },
      ).doubtful,
    ).toBe(false);
  });
});

describe('in words', () => {
  const words = (errors: readonly (readonly [number, number])[], more: Partial<MeterTest> = {}) =>
    meterSentences(test(errors, more), judged(errors, more)).join(' ');

  it('nothing without a point', () => {
    expect(words([])).toBe('');
  });

  it('the range it holds for, and nothing beyond', () => {
    expect(
      words([
        [4, 0.1],
        [8, 0],
        [12, 0],
      ]),
    ).toContain('Usable between EV 4.0 and EV 12.0');
    expect(
      words([
        [4, 0.1],
        [8, 0],
        [12, 0],
      ]),
    ).toContain('Outside these points nothing was read');
  });

  it('which way to correct', () => {
    const high = words([
      [4, 1],
      [8, 1],
      [12, 1],
    ]);
    expect(high).toContain('give 1 stop more exposure than it says, by aperture, time or a lower film speed');
    const low = words([
      [4, -4 / 3],
      [8, -4 / 3],
      [12, -4 / 3],
    ]);
    expect(low).toContain(
      'give 1 1/3 stops less exposure than it says, by aperture, time or a higher film speed',
    );
    expect(low).toContain('too low by 1.33 stops: film gets too much light');
  });

  it('that the error depends on the light only where the slope shows it', () => {
    expect(
      words([
        [4, 0],
        [8, 0.1],
        [12, 0],
      ]),
    ).toContain('no departure from 1 is shown');
    expect(
      words([
        [4, 0],
        [8, -0.81],
        [12, -1.6],
        [16, -2.41],
      ]),
    ).toContain('rises by too little, 0.80 EV');
    // A line of no scatter at all shows a departure that nobody would notice.
    expect(
      words([
        [4, 0],
        [8, -0.12],
        [12, -0.24],
      ]),
    ).toContain('a little too little, of no account');
  });

  it('one point, and many', () => {
    expect(words([[4, 0.2]])).toContain('(one point)');
    expect(
      words([
        [4, 0.2],
        [8, 0.2],
      ]),
    ).toContain('spread of the two points');
  });

  it('where the light’s strength is known from', () => {
    expect(words([[4, 0]])).toContain('Light: light box, known to ±0.10 EV (about 95 %).');
    expect(
      words([
        [4, 0],
        [8, 0],
      ]),
    ).toContain('it is in the interval of the mean');
    const source = { words: ' ', uncertainty: null };
    expect(words([[4, 0]], { source })).toContain(
      'The source of the light is not stated; its uncertainty is not stated',
    );
  });

  it('a constant out of the usual range', () => {
    expect(words([[4, 0]])).not.toContain('lies outside');
    expect(words([[4, 0]], { constant: { kind: 'K', value: 14 } })).toContain(
      'K = 14 lies outside 10.6 to 13.4, the range that ISO 2720 recommends',
    );
    expect(words([[4, 0]], { constant: { kind: 'K', value: 14 } })).toContain('by −0.16 EV');
    expect(words([[4, 0]], { constant: { kind: 'C', value: 330 } })).not.toContain('lies outside');
    expect(words([[4, 0]], { constant: { kind: 'C', value: 600 } })).toContain(
      'C = 600 lies outside 240 to 540',
    );
  });

  it('selenium and the battery of a CdS cell', () => {
    expect(words([[4, 0]], { cell: 'selenium' })).toContain('reads low as it ages, and not always evenly');
    expect(words([[4, 0]], { cell: 'CdS' })).toContain('The battery’s voltage is not stated');
    expect(words([[4, 0]], { cell: 'CdS', battery: 1.35 })).toContain('as a mercury cell gives');
    expect(words([[4, 0]], { cell: 'CdS', battery: 1.5 })).toContain(
      'part of its error may come from the battery',
    );
    expect(words([[4, 0]], { cell: 'CdS', battery: 1.55 })).toContain(
      'part of its error may come from the battery',
    );
    expect(words([[4, 0]], { cell: 'CdS', battery: 3 })).toContain('compare that with what the maker states');
    expect(words([[4, 0]], { cell: 'silicon' })).not.toContain('battery');
  });

  it('cautions of poison, for the cells that hold it', () => {
    expect(meterCautions({ cell: 'selenium' }).join()).toContain('Selenium is poisonous');
    expect(meterCautions({ cell: 'CdS' }).join()).toContain('local rules');
    expect(meterCautions({ cell: 'silicon' })).toEqual([]);
    expect(meterCautions({ cell: 'not stated' })).toEqual([]);
  });

  it('a heading for each advice', () => {
    const results = [
      judged([]),
      judged([
        [4, 0],
        [8, 0],
        [12, 0],
      ]),
      judged([
        [4, 0],
        [8, 3],
        [12, 0],
      ]),
    ];
    expect(results.map(({ advice }) => meterAdviceHeading(advice))).toEqual([
      'Too few points to say',
      'Usable',
      'Not to be relied on',
    ]);
  });
});
