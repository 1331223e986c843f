/** Findings from the light of a faulty practice shutter, through the real firmware, the wire and the measurement. */
import { describe, expect, it } from 'vitest';
import { judgedTime, whyNotCounted } from '../../app/judge/counted-readings.ts';
import type { Finding } from '../../app/judge/finding.ts';
import { findingsOf } from '../../app/judge/findings/findings.ts';
import { profileOf } from '../../app/judge/profile.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { TESTER_HEX } from '../practice/tester-firmware.ts';
import { ReadingChain } from './reading-chain.ts';

/** Dark before the release, and from the release until the record is whole (s). */
const DARK_BEFORE = 0.25;
const RECORD = 0.25;

/** `dials`: the mark of each firing. A slow one first gives the reference level. */
function findingsOnBench(condition: ShutterCondition, dials: readonly string[]): readonly Finding[] {
  const core = new PracticeCore({ image: TESTER_HEX, seed: 12 });
  const chain = new ReadingChain(null);
  const wait = (seconds: number) => {
    core.run(core.cycle + seconds * CLOCK_HZ);
    chain.push(core.takeBytes());
  };
  wait(0.25);
  core.write(encodeCommand({ type: 'start', tag: 1 }));
  core.setCondition(condition);
  for (const mark of dials) {
    core.setDial(mark);
    wait(DARK_BEFORE);
    core.fire();
    wait(RECORD);
    while (core.state.blades !== 'at rest') wait(0.05);
  }
  wait(DARK_BEFORE);
  expect(chain.readings.map(({ kind }) => kind)).toEqual(dials.map(() => 'firing'));
  const readings = chain.readings.map(({ firing, figures }, n) => ({
    mark: dials[n]!,
    id: `firing ${n + 1}`,
    ordinal: n + 1,
    time: judgedTime(figures),
    counted:
      whyNotCounted({ figures, firing, setAside: null, rest: n === 0 ? null : 1, exercised: false }) === null,
    afterRest: false,
    rest: n === 0 ? null : 1,
    mounting: 'bare' as const,
    figures,
  }));
  return findingsOf({
    profile: profileOf(LEAF_SERIES),
    marks: LEAF_SERIES.speeds.map(({ label, marked }) => ({
      label,
      reference: marked,
      outcome: null,
      readings: readings.filter(({ mark }) => mark === label),
    })),
  });
}

const three = (mark: string) => [mark, mark, mark];

describe('the readings of the bench', () => {
  it('of a serviced shutter suggest nothing', () => {
    expect(findingsOnBench('serviced', ['1/30', '1/60', '1/125', '1/500'].flatMap(three))).toEqual([]);
  });

  it('of one with a blade not closed suggest that, and no rebound', () => {
    const [finding, ...more] = findingsOnBench('blade not closed', three('1/60'));
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ code: 'steady glow', marks: ['1/60'] });
    expect(finding!.effect).toMatch(/^3\.\d %$/);
  });

  it('of blades that stop short suggest drag at the fast marks, by their peak', () => {
    const dials = ['1/30', ...three('1/125'), ...three('1/500')];
    const [finding, ...more] = findingsOnBench('blades not fully open', dials);
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ code: 'blade drag', marks: ['1/125', '1/500'] });
    expect(finding!.effect).toMatch(/^8[456] %$/);
  });
});
