import { describe, expect, it } from 'vitest';
import { meterSentences } from '../../app/judge/exposure-meter-sentences.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { judged, meterTest } from './sample-meter-test.ts';

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
    expect(meterSentences(meterTest([]), result)[0]).toContain('no one correction of up to 2.00 stops');
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
    expect(meterSentences(meterTest([]), near)[0]).toContain(
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
