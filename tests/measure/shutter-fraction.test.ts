import { describe, expect, it } from 'vitest';
import { shutterFraction, timeText } from '../../app/measure/shutter-fraction.ts';

describe('a time as a fraction', () => {
  it.each([
    [0.00847, '1/118 s'],
    [1 / 60, '1/60 s'],
    [1 / 15, '1/15 s'],
    [0.12, '1/8.3 s'],
    [0.25, '1/4 s'],
    [0.0009876, '1/1013 s'],
    [0.3, '0.30 s'],
    [0.52, '0.52 s'],
    [1.03, '1.03 s'],
    [9.996, '10.0 s'],
    [12.34, '12.3 s'],
    [240.2, '240 s'],
  ])('%s s is %s', (time, text) => expect(shutterFraction(time)).toBe(text));
  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('%s is none', (time) =>
    expect(shutterFraction(time)).toBe('–'),
  );
});

describe('a time in milliseconds', () => {
  it.each([
    [0.00847, '8.47 ms'],
    [0.0166667, '16.7 ms'],
    [0.125, '125 ms'],
    [0.9994, '999 ms'],
    [0.9996, '1.000 s'],
    [1.034, '1.034 s'],
    [12.345, '12.35 s'],
    [0.0009996, '1.00 ms'],
    [0.000436, '0.436 ms'],
    [0.0099951, '10.0 ms'],
    [-0.0021, '−2.10 ms'],
    [0, '0.000 ms'],
  ])('%s s is %s', (time, text) => expect(timeText(time)).toBe(text));
});
