import { describe, expect, it } from 'vitest';
import type { CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import { stageFindings } from '../../app/certificate/stage-findings.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { atErrors, row, section } from './content-parts.ts';
import { inventedFigures, inventedFiring, inventedInput } from './invented-job.ts';

describe('deviations on a certificate', () => {
  it('keeps the first firing after a rest apart, and shows it', () => {
    const [first, second, third] = atErrors('1/60', [0.5, 0.1, 0.1]);
    const firings = [
      { ...first!, rest: 1500 },
      { ...second!, rest: 5 },
      { ...third!, rest: 7200, exercised: true },
    ];
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found']).toMatchObject({ n: '2' });
    expect(section(content, 'Firings left out or moved').items).toEqual([
      'As found, 1/60, firing 1: first after a rest of 25 min, kept apart from the mean: 23.6 ms, +0.50 EV.',
    ]);
    expect(section(content, 'Remarks on the readings').items).toEqual([
      'As found: first after a rest, but counted, since the shutter was exercised before: 1/60 (1 of 2).',
    ]);
  });

  it('marks a firing that lies suspiciously far out, and counts it', () => {
    const content = certificateContent(
      inventedInput({ firings: atErrors('1/60', [0, 0.01, -0.01, 0.005, 0.9]) }),
    );
    expect(row(content, '1/60').stages['as found'].n).toBe('5');
    expect(section(content, 'Remarks on the readings').items.at(-1)).toBe(
      "As found, 1/60: the slowest of 5 firings (31.1 ms) lies suspiciously far from the others (Grubbs' test, level 0.05); it is counted.",
    );
  });

  it('tells where a reference level came from', () => {
    const remarks = [{ code: 'reference level used' as const }];
    const used = (origin: 'slow firing' | 'light check', ordinal: number) =>
      inventedFiring('as found', '1/500', ordinal, inventedFigures(1 / 500, { remarks }), {
        reference: { height: 200, uncertainty: 0.1, firstTick: ticks(1), origin },
      });
    const firings = [used('slow firing', 1), used('light check', 2), used('light check', 3)];
    const { items } = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(items).toEqual([
      expect.stringMatching(/^As found: open level taken from a slower firing, .*: 1\/500 \(1 of 3\)\.$/),
      expect.stringMatching(/^As found: open level taken from a light check, .*: 1\/500 \(2 of 3\)\.$/),
    ]);
  });

  it('tells of flicker and drift of the light', () => {
    const figures = inventedFigures(1, {
      remarks: [
        { code: 'flicker 100 Hz', value: 0.03 },
        { code: 'light drifts', value: -0.02 },
      ],
    });
    const firings = [inventedFiring('as found', '1', 1, figures)];
    const { items } = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(items).toEqual([
      'As found: the light flickered at 100 Hz: 1 s (1 of 1).',
      'As found: the light changed while the shutter stood open: 1 s (1 of 1).',
    ]);
  });
});

describe('what the readings suggest, on a certificate', () => {
  const of = (firings: readonly CertifiedFiring[]) =>
    section(certificateContent(inventedInput({ firings })), 'What the readings suggest');

  it('prints each finding with its evidence, and makes no more of it than a suggestion', () => {
    const input = inventedInput();
    const { job } = input;
    const findings = stageFindings(job.profile, stageResult(job, input.firings, 'as found'));
    const { paragraphs, items } = of(input.firings);
    expect(findings.length).toBeGreaterThan(0);
    expect(items).toHaveLength(findings.length);
    findings.forEach(({ seen, suggests, effect, threshold, method }, i) => {
      for (const words of ['As found: ', seen, suggests, effect, `counted from ${threshold}`, method])
        expect(items[i]).toContain(words);
    });
    expect(items.join(' ')).toMatch(/p [<=] 0\.0\d+/);
    expect(paragraphs[0]).toContain('none of them certain, and no part of the results');
  });

  it('says so when there is none', () => {
    expect(of(atErrors('1/60', [0, 0.01, 0.02]))).toMatchObject({
      items: [],
      paragraphs: [expect.stringMatching(/^Nothing:/)],
    });
  });
});

describe('light after closing, on a certificate', () => {
  const resultWith = (added: number) =>
    certificateContent(
      inventedInput({
        firings: inventedInput().firings.map((firing) =>
          firing.mark === '1/250' && firing.figures.effective !== null
            ? {
                ...firing,
                figures: {
                  ...firing.figures,
                  effectiveWithRebound: seconds(firing.figures.effective * 2 ** added),
                },
              }
            : firing,
        ),
      }),
    ).result.paragraphs.join(' ');

  it('stands beside the verdicts that leave it out, from a tenth of a stop on', () => {
    expect(resultWith(0.89)).toContain('Light after closing adds to the exposure at 1/250 (+0.89 EV)');
    expect(resultWith(0.09)).not.toContain('Light after closing');
  });
});
