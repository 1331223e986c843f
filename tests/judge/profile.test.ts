import { describe, expect, it } from 'vitest';
import { profileOf } from '../../app/judge/profile.ts';
import { BUILT_IN_SERIES, LEAF_SERIES } from '../../app/judge/series.ts';

/** Common practice for leaf shutters, no source. */
describe('profile a job starts from', () => {
  it('has the governor from 1/125 and its pallet from 1/8 down, in the doubling series', () => {
    expect(profileOf(LEAF_SERIES)).toEqual({
      governed: ['1', '1/2', '1/4', '1/8', '1/15', '1/30', '1/60', '1/125'],
      pallet: ['1', '1/2', '1/4', '1/8'],
      booster: [],
      fromCentre: true,
    });
  });

  it('draws the same lines in an older series, with B and T in neither list', () => {
    const older = BUILT_IN_SERIES.find(({ id }) => id === 'older')!;
    const { governed, pallet } = profileOf(older);
    expect(governed).toEqual(['1', '1/2', '1/5', '1/10', '1/25', '1/50', '1/100']);
    expect(pallet).toEqual(['1', '1/2', '1/5', '1/10']);
  });
});
