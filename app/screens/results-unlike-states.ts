/** In what the shutter, its light and its sensor stood otherwise in one stage than in another. */
import type { CertifiedFiring } from '../certificate/certificate.ts';
import type { StageResult } from '../certificate/stage-results.ts';
import type { SetUp } from '../judge/set-up.ts';
import type { Assembly, Job } from '../record/job.ts';

type Standing = Pick<CertifiedFiring, 'assembly' | 'setUp'>;

const orNotStated = (text: string) => text.trim() || 'not stated';
const assembly = (say: (assembly: Assembly) => string) => (standing: Standing) => say(standing.assembly);
const setUp = (say: (setUp: SetUp) => string) => (standing: Standing) => say(standing.setUp);

/** Temperature, linearity, bandwidth and notes are circumstances: they make no two readings unlike. */
const SAYINGS: readonly (readonly [string, (standing: Standing) => string])[] = [
  ['shutter', assembly((a) => a.mounting)],
  ['cells', assembly((a) => a.cells)],
  ['iris', assembly((a) => orNotStated(a.iris))],
  ['released', assembly((a) => a.release)],
  ['cocked', assembly((a) => a.cocking)],
  ['attitude', assembly((a) => orNotStated(a.attitude))],
  ['light', setUp((s) => s.light)],
  ['sensor', setUp((s) => s.sensor)],
  [
    'share of the opening seen',
    setUp((s) => (s.seenShare === null ? 'not stated' : `${Number((100 * s.seenShare).toPrecision(3))} %`)),
  ],
];

/**
 * 'iris: wide open, then f/8' for each of them, over all firings of the stages given; empty where all were
 * read alike. A stage of outcomes alone stands as the job says.
 */
export function unlikeStates(job: Job, results: readonly StageResult[]): readonly string[] {
  const standing = results.flatMap(({ stage, taken, firings }): readonly Standing[] =>
    !taken ? [] : firings.length > 0 ? firings : [job.stages[stage]],
  );
  return SAYINGS.flatMap(([what, say]) => {
    const words = new Set(standing.map(say));
    return words.size > 1 ? [`${what}: ${[...words].join(', then ')}`] : [];
  });
}
