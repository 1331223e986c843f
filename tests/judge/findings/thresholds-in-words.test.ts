import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { FINDING_THRESHOLDS } from '../../../app/judge/findings/thresholds.ts';

it('DEVELOPERS.md lists the thresholds as they are', () => {
  const text = readFileSync('DEVELOPERS.md', 'utf8').replaceAll(/ +/g, ' ');
  for (const [code, threshold] of Object.entries(FINDING_THRESHOLDS)) {
    const { practical, detectable, unit, significance, least } = threshold;
    const margin = code === 'neighbours equal';
    const cells = [
      code,
      `${margin ? 'within ' : ''}${practical} ${unit}`,
      `${significance ?? 'observation'}`,
      least,
      `${margin ? 'up to ' : ''}${detectable} ${unit}`,
    ];
    expect(text).toContain(`| ${cells.join(' | ')} |`);
  }
});
