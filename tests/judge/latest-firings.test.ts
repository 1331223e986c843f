import { describe, expect, it } from 'vitest';
import { latestOf } from '../../app/judge/latest-firings.ts';
import { timeOfLabel } from '../../app/judge/series.ts';
import { fired, shots } from './work-firings.ts';

const mark = (label: string) => ({ label, reference: timeOfLabel(label) });

describe('the latest firing at each mark', () => {
  const readings = fired(
    shots('1/60', [0.5, -0.2]),
    shots('1/125', [0.3]),
    [{ mark: '1/60', error: 2, setAside: 'slipped' }],
    shots('B', [0.4]),
    shots('1/250', [0.09]),
  );

  it('is the last one that counts, with its error and direction', () => {
    const [sixtieth, other] = latestOf([mark('1/60'), mark('1/125')], readings.toReversed());
    expect(sixtieth).toMatchObject({ label: '1/60', ordinal: 2, direction: 'fast' });
    expect(sixtieth!.error).toBeCloseTo(-0.2, 12);
    expect(sixtieth!.time).toBeCloseTo(2 ** -0.2 / 60, 12);
    expect(other).toMatchObject({ ordinal: 3, direction: 'slow' });
  });

  it('is called on the mark within a tenth of a stop', () => {
    expect(latestOf([mark('1/250')], readings)[0]!.direction).toBe('on the mark');
    expect(latestOf([mark('1/30')], fired(shots('1/30', [-0.11])))[0]!.direction).toBe('fast');
  });

  it('has no error at B, and nothing at all where nothing was fired', () => {
    expect(latestOf([mark('B'), mark('1')], readings)).toEqual([
      { label: 'B', ordinal: 5, time: 2 ** 0.4, error: null, direction: null },
      { label: '1', ordinal: null, time: null, error: null, direction: null },
    ]);
  });
});
