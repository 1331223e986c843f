import { describe, expect, it } from 'vitest';
import {
  meterAdviceHeading,
  meterCautions,
  meterErrorWords,
  meterSentences,
} from '../../app/judge/exposure-meter-sentences.ts';
import type { MeterTest } from '../../app/judge/meter-test.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { judged, meterTest } from './sample-meter-test.ts';

describe('in words', () => {
  const words = (errors: readonly (readonly [number, number])[], more: Partial<MeterTest> = {}) =>
    meterSentences(meterTest(errors, more), judged(errors, more)).join(' ');

  it('says which way the film suffers', () => {
    expect(meterErrorWords(stops(0.42))).toBe('too high by 0.42 stop: film gets too little light');
    expect(meterErrorWords(stops(-1.25))).toBe('too low by 1.25 stops: film gets too much light');
    expect(meterErrorWords(stops(0.004))).toBe('right');
  });

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
