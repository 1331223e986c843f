import { describe, expect, it } from 'vitest';
import type { RemarkCode } from '../../app/measure/figures.ts';
import { remarkSentence } from '../../app/measure/remark-sentences.ts';

const WITH_VALUE: Partial<Record<RemarkCode, [number, string]>> = {
  'weak light': [22.4, '22 steps'],
  'low peak': [0.91, '91 %'],
  'light changed': [-0.034, '−3.4 %'],
  'never closed': [8, '8.000 s'],
  'detector slow': [19_230.8, '19.2 kHz'],
  'no shape figures': [64.2, '64 steps'],
  'short dark': [0.0213, '21.3 ms'],
  rebound: [0.024, '2.4 %'],
  'glow after closing': [0.031, '3.1 %'],
  saturated: [254.6, 'level 255'],
  'no open level': [187.4, '187 steps'],
  'reference level used': [199.6, '199 steps'],
  'truncated start': [0.0213, '21.3 ms'],
  'truncated end': [0.0213, '21.3 ms'],
  'flicker 100 Hz': [0.021, '100 Hz with an amplitude of 2.1 %'],
  'flicker 120 Hz': [0.021, '120 Hz with an amplitude of 2.1 %'],
  'light drifts': [-0.0234, '−2.3 %'],
};

describe('a remark in words', () => {
  it.each(Object.entries(WITH_VALUE))('"%s" carries its number', (code, [value, text]) => {
    expect(remarkSentence({ code: code as RemarkCode, value })).toContain(text);
  });
  it('is a whole sentence, with a number or without', () => {
    for (const code of ['spoilt', 'open time only', ...(Object.keys(WITH_VALUE) as RemarkCode[])] as const) {
      const sentence = remarkSentence({ code });
      expect(sentence).toMatch(/^[A-Z].*\.$/);
      expect(sentence).not.toMatch(/undefined|NaN/);
    }
  });
  it('gives rebound in stops as well, and the shortest time a slow detector shows', () => {
    expect(remarkSentence({ code: 'rebound', value: 0.0718 })).toContain('+0.10 EV');
    expect(remarkSentence({ code: 'detector slow', value: 19_230.8 })).toContain('5.20 ms');
  });
});
