/** How a workshop works that has not said otherwise. Numbers: common practice, no source. */
import { seconds } from '../../firmware-protocol/units.ts';
import { BAND_PRESETS } from '../judge/bands.ts';
import { LEAF_SERIES } from '../judge/series.ts';
import type { Preferences } from './preferences.ts';

export const DEFAULT_PREFERENCES: Preferences = {
  papers: { title: 'certificate', size: 'A4', dates: 'day month year' },
  defaults: {
    seriesId: LEAF_SERIES.id,
    referenceRule: 'marked',
    band: BAND_PRESETS.find(({ id }) => id === 'negative')!.band,
    bandUnit: 'EV',
    decisionRule: 'simple',
    spreadLimit: null,
    leastFirings: { 'as found': 3, trials: 3, 'after rest': 3, 'as left': 5 },
    flashDuration: seconds(1e-3),
    programmeId: null,
    checkListId: null,
  },
  series: [],
  programmes: [],
  checkLists: [],
  tones: { on: true, volume: 0.5 },
  voice: { on: false, volume: 0.8, voice: null },
  keys: {},
  backUp: { everyDays: 14, last: null },
};
