import { describe, expect, it } from 'vitest';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import type { IrisCheckResult } from '../../app/judge/iris-check-result.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { instrumentWords, section } from './content-parts.ts';
import { inventedFirings, inventedInput, inventedJob } from './invented-job.ts';

describe('the instrument on a certificate', () => {
  const firings = inventedFirings(LEAF_SERIES);

  it('tells of the clock: how long compared, its error, its uncertainty, or that it was not', () => {
    const words = instrumentWords(firings)('Clock of the board');
    expect(words).toBe(
      "compared with the computer's over 61 to 87 s; its error of +4321.2 ppm taken out, standard uncertainty up to 1.4 ppm",
    );
    const unchecked = firings.map((firing) => ({ ...firing, clockCorrection: null }));
    const none = 'nominal, no clock check: the limits of a ceramic resonator apply';
    expect(instrumentWords(unchecked)('Clock of the board')).toBe(none);
    const partly = firings.map((firing, i) => (i < 2 ? unchecked[i]! : firing));
    expect(instrumentWords(partly)('Clock of the board')).toMatch(
      new RegExp(`ppm; for 2 of 27 firings ${none}$`),
    );
  });

  it('tells the sampling rate, and from which open time on it shows the shape to standard', () => {
    // 100 / t0 (ISO 516:2019) against half the rate: 5.2 ms at 38.46 kS/s, 2.6 ms at 76.92 kS/s.
    const at = (ticksPerSample: number) =>
      firings.map((one) => ({ ...one, firing: { ...one.firing, tickHz: 2_000_000, ticksPerSample } }));
    const normal = '38.46 kS/s, sensor 48.4 kHz as stated; shapes to ISO 516 from 5.2 ms';
    const fast = '76.92 kS/s, sensor 48.4 kHz as stated; shapes to ISO 516 from 2.6 ms';
    expect(instrumentWords(at(52))('Sampling')).toBe(normal);
    expect(instrumentWords(at(26))('Sampling')).toBe(fast);
    expect(instrumentWords([...at(26).slice(0, 3), ...at(52).slice(3)])('Sampling')).toBe(
      `${fast}; ${normal}`,
    );
    expect(instrumentWords(at(0))('Sampling')).toBe('none: the board times edges');
    // A sensor of 15.9 kHz (a load of 100 kΩ) is slower than either rate.
    const slow = at(26).map((one) => ({ ...one, setUp: { ...one.setUp, bandwidthHz: 15_900 } }));
    expect(instrumentWords(slow)('Sampling')).toContain('from 6.3 ms');
  });

  it('lists the latest check of each kind at each stage, and what was not made', () => {
    const { items } = section(certificateContent(inventedInput()), 'Checks of the instrument');
    expect(items).toEqual([
      'As found, light check, 2031-03-03 09:50: passed; dark 12.1 steps, noise 0.60, open 201.4 ± 0.1 above dark (k = 2), 16 % of the range left, no flicker seen, drift not known.',
      expect.stringMatching(
        /^As found, reference light, 2031-03-03 09:55: passed; .*0\.500 ms −5\.2 µs, .*8\.00 ms 0\.0 µs, .*limit ±\(5 µs \+ 0\.2 %\) \(tests .* not the clock.*\)\.$/,
      ),
      expect.stringMatching(
        /^As found, wide open against one stop down, 2031-03-03 09:58: whole opening used; 1\/500, .*\+0\.55 EV \(95 %: \+0\.50 to \+0\.60\), \+0\.58 expected/,
      ),
      'As left, not made: light check; reference light; wide open against one stop down.',
    ]);
    const { checks, ...job } = inventedJob();
    const zoned = inventedInput({
      job: { ...job, checks: checks.slice(0, 1) },
      timeZone: 'America/New_York',
    });
    expect(section(certificateContent(zoned), 'Checks of the instrument').items[0]).toBe(
      'As found, light check, 2031-03-03 03:40: problem (flicker); dark 11.9 steps, noise 0.62, open 199.3 ± 0.1 above dark (k = 2), 17 % of the range left, flicker ±2.4 % at 100 Hz, drift −0.12 ± 0.06 % a minute (k = 2).',
    );
  });

  it('prints the open level of a light check to the place of its uncertainty', () => {
    const [light, ...others] = inventedJob().checks;
    if (light?.kind !== 'light') throw new Error('The invented job begins with a light check.');
    const words = (heightUncertainty: number) => {
      const checks = [{ ...light, result: { ...light.result, heightUncertainty } }, ...others.slice(2)];
      const content = certificateContent(inventedInput({ job: inventedJob({ checks }) }));
      return /open [^(]*/.exec(section(content, 'Checks of the instrument').items[0]!)?.[0];
    };
    expect(words(0.05)).toBe('open 199.3 ± 0.1 above dark ');
    expect(words(0.012)).toBe('open 199.30 ± 0.02 above dark ');
    expect(words(0.001)).toBe('open 199.30 ± 0.01 above dark ');
  });

  it('is plain about a job that nothing was recorded of', () => {
    const job = inventedJob();
    const stages = {
      ...job.stages,
      'as found': { ...job.stages['as found'], outcomes: {} },
      'as left': { ...job.stages['as left'], outcomes: {} },
    };
    const content = certificateContent(inventedInput({ job: { ...job, stages }, firings: [] }));
    expect(content.rows).toEqual([]);
    expect(content.tables).toEqual([]);
    expect(content.comparisons).toEqual([]);
    expect(content.sections.map(({ heading }) => heading)).toEqual(['Limits of this certificate']);
    const one = certificateContent(inventedInput({ firings: inventedFirings(job.series).slice(0, 1) }));
    expect(section(one, 'Firings left out or moved').paragraphs[0]).toMatch(
      /^The one recorded firing was counted/,
    );
  });

  it('does not pass over a check that contradicts what is stated of the opening', () => {
    const { checks } = inventedJob();
    const items = (outcome: IrisCheckResult['outcome'], seenShare: number) => {
      const job = inventedJob({
        checks: checks.flatMap((check) =>
          check.kind === 'iris' ? [{ ...check, result: { ...check.result, outcome } }] : [],
        ),
      });
      const read = firings.map((firing) => ({ ...firing, setUp: { ...firing.setUp, seenShare } }));
      return section(
        certificateContent(inventedInput({ job, firings: read })),
        'Checks of the instrument',
      ).items.filter((item) => item.includes('contradicts'));
    };
    expect(items('part of the opening used', 1)).toEqual([
      expect.stringMatching(/^As found: this contradicts .* Times may read too long by more than U/),
    ]);
    expect(items('part of the opening used', 0.9)).toEqual([]);
    expect(items('whole opening used', 1)).toEqual([]);
  });

  it('sets light and sensor as found beside as left, and names what differs', () => {
    const comparison = (all: readonly CertifiedFiring[]) =>
      certificateContent(inventedInput({ firings: all })).comparisons.find(
        ({ heading }) => heading === 'Light and sensor',
      )!;
    expect(comparison(firings).notes).toEqual([]);
    const seen = comparison(firings).rows.find(({ label }) => label === 'Opening lit and seen')!;
    expect(seen.stages['as left']).toBe('at least 95 % of its area, as stated');
    const moved = firings.map((firing) =>
      firing.stage === 'as found'
        ? firing
        : {
            ...firing,
            setUp: {
              ...firing.setUp,
              sensor: 'close to the shutter' as const,
              seenShare: null,
              linearity: null,
            },
          },
    );
    const { notes, rows } = comparison(moved);
    expect(notes).toHaveLength(1);
    expect(notes[0]).toContain('(sensor, opening lit and seen)');
    expect(rows.find(({ label }) => label === 'Linearity')!.stages).toEqual({
      'as found': '±0.5 % of the time, as stated',
      'as left': 'not stated',
    });
  });
});
