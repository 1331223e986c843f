import { BUILT_IN_SERIES, LEAF_SERIES } from '../judge/series.ts';
import { fittingProgramme } from './fitting-programme.ts';
import type { Job } from './job.ts';
import { MECHANICAL_LISTS, mechanicalChecks } from './mechanical-lists.ts';
import type { Preferences } from './preferences.ts';

type JobDefaults = Pick<
  Job,
  | 'series'
  | 'referenceRule'
  | 'band'
  | 'bandUnit'
  | 'decisionRule'
  | 'spreadLimit'
  | 'leastFirings'
  | 'flashDuration'
  | 'programme'
  | 'mechanics'
>;

/**
 * What a new job takes from the workshop's preferences. A series, programme or check list that is no longer
 * there is left out: the leaf series, no programme, no checks.
 */
export function jobDefaults({ defaults, series, programmes, checkLists }: Preferences): JobDefaults {
  const { seriesId, programmeId, checkListId, ...copied } = defaults;
  const own = [...series, ...BUILT_IN_SERIES].find(({ id }) => id === seriesId) ?? LEAF_SERIES;
  const programme = programmes.find(({ id }) => id === programmeId);
  const list = [...checkLists, ...MECHANICAL_LISTS].find(({ id }) => id === checkListId);
  return {
    ...copied,
    series: own,
    programme: programme ? fittingProgramme(programme, own) : null,
    mechanics: list ? mechanicalChecks(list) : [],
  };
}
