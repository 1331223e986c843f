import type { Assembly, Job, Stage, StageId } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';
import { JobField } from './job-field.tsx';

const choices = {
  mounting: ['not stated', 'bare', 'front plate fastened', 'in the body'],
  cells: ['not stated', 'in', 'out'],
  release: ['not stated', 'by hand', 'cable', 'body'],
  cocking: ['not stated', 'lever', 'film advance'],
} as const;

const SYNC: readonly (readonly [Stage['sync'], string])[] = [
  ['not stated', 'none, or not stated'],
  ['X', 'X'],
  ['M', 'M'],
];

/** How the shutter stands at a stage: each firing takes this along, and unlike states are never compared silently. */
export function AssemblyFields({ job, stage }: { job: Job; stage: StageId }) {
  const { assembly, sync } = job.stages[stage];
  const changeStage = (part: Partial<Stage>, words: string) =>
    changeJob((j) => ({ ...j, stages: { ...j.stages, [stage]: { ...j.stages[stage], ...part } } }), words);
  const change = (part: Partial<Assembly>, words: string) =>
    changeStage({ assembly: { ...assembly, ...part } }, words);
  return (
    <section class="card fields" aria-label={`How it stands ${stage}`}>
      <h2 class="wide">How it stands {stage}</h2>
      {(Object.keys(choices) as (keyof typeof choices)[]).map((key) => (
        <label key={key}>
          {key === 'mounting' ? 'shutter' : key}
          <select
            value={assembly[key]}
            onChange={(e) => change({ [key]: e.currentTarget.value }, `${key} ${stage}`)}
          >
            {choices[key].map((choice) => (
              <option key={choice} value={choice}>
                {choice}
              </option>
            ))}
          </select>
        </label>
      ))}
      <JobField
        label="iris"
        name={`iris-${stage}`}
        value={assembly.iris}
        change={(iris) => change({ iris }, 'iris')}
      />
      <JobField
        label="attitude"
        name={`attitude-${stage}`}
        value={assembly.attitude}
        change={(attitude) => change({ attitude }, 'attitude')}
      />
      <label>
        temperature, °C
        <DraftField
          type="number"
          step="0.5"
          min={-20}
          max={60}
          value={assembly.temperature === null ? '' : String(assembly.temperature)}
          commit={(text) => {
            const degrees = Number(text);
            change({ temperature: text !== '' && Number.isFinite(degrees) ? degrees : null }, 'temperature');
          }}
        />
      </label>
      <label>
        lever for flash
        <select
          value={sync}
          onChange={(e) => {
            const lever = e.currentTarget.value as Stage['sync'];
            changeStage({ sync: lever }, `lever for flash ${stage}`);
          }}
          data-field={`sync-${stage}`}
        >
          {SYNC.map(([setting, words]) => (
            <option key={setting} value={setting}>
              {words}
            </option>
          ))}
        </select>
      </label>
    </section>
  );
}
