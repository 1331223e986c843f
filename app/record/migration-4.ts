import type { Migration } from './migration.ts';

/** What this step reads of version 3; everything else is carried over as it is. */
interface SetUpOfVersion3 {
  readonly setUp: object;
}

const withBandwidth = <Part extends SetUpOfVersion3>(part: Part) => ({
  ...part,
  setUp: { ...part.setUp, bandwidthHz: null },
});

function jobToVersion4(data: unknown): unknown {
  const job = data as { readonly stages: Readonly<Record<string, SetUpOfVersion3>> };
  const stages = Object.entries(job.stages).map(([stage, state]) => [stage, withBandwidth(state)]);
  return { ...job, stages: Object.fromEntries(stages) };
}

export const TO_VERSION_4: Migration = {
  to: 4,
  what: 'Set-up of a stage and of a firing: bandwidth of sensor and amplifier.',
  steps: { job: jobToVersion4, firing: (data) => withBandwidth(data as SetUpOfVersion3) },
};
