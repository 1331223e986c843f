import { describe, expect, it } from 'vitest';
import {
  capital,
  countText,
  marksText,
  markText,
  percentText,
  slowOrFast,
  thresholdText,
} from '../../../app/judge/findings/wording.ts';

describe('words of findings', () => {
  it('count, name and size', () => {
    expect([0, 1, 2, 10, 11].map((count) => countText(count, 'firing'))).toEqual([
      'no firings',
      'one firing',
      'two firings',
      'ten firings',
      '11 firings',
    ]);
    expect(['1', '10', '0.5', '0.25', '1/60', 'B'].map(markText)).toEqual([
      '1 s',
      '10 s',
      '0.5 s',
      '0.25 s',
      '1/60',
      'B',
    ]);
    const named = (...labels: string[]) => marksText(labels.map((label) => ({ label })));
    expect([named(), named('B'), named('1', '1/2'), named('1', '1/2', '1/4')]).toEqual([
      '',
      'B',
      '1 s and 1/2',
      '1 s, 1/2 and 1/4',
    ]);
    expect(capital('three firings')).toBe('Three firings');
    expect([slowOrFast(0.1), slowOrFast(-0.1)]).toEqual(['slow', 'fast']);
    expect([percentText(0.1234), percentText(0.1234, 0)]).toEqual(['12.3 %', '12 %']);
  });

  it('give each threshold in its unit', () => {
    const codes = ['escapement', 'governor engagement', 'B or T hangs', 'blade rebound'] as const;
    expect(codes.map(thresholdText)).toEqual(['0.20 EV', '1.5 ms', 'two firings', '5 % of the open light']);
  });
});
