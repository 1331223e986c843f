import { useState } from 'preact/hooks';
import type { Programme, ProgrammeStep } from '../judge/programme.ts';
import { defaultProgrammes, programmeProblems } from '../judge/programmes.ts';
import { fittingProgramme } from '../record/fitting-programme.ts';
import type { Job, StageId } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';
import { numberIn } from './mark-fields.tsx';
import { useView } from './view.ts';

/** Which speeds are fired in which order; the bench follows it from mark to mark. */
export function ProgrammeCard({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  const workshops = useView((v) => v.preferences.programmes);
  const { programme, series } = job;
  const offered = [
    ...workshops.flatMap((one) => fittingProgramme(one, series) ?? []),
    ...defaultProgrammes(series, job.leastFirings['as left']),
  ];
  const chosen = programme === null ? 'none' : (offered.find((one) => same(one, programme))?.id ?? 'own');
  const put = (changed: Programme | null, words: string, stepsStay = false) => {
    const problems = changed === null ? [] : programmeProblems(changed, series);
    setProblem(problems.join(' '));
    if (problems.length === 0) changeJob((j) => withProgramme(j, changed, stepsStay), words);
  };
  const edit = (steps: readonly ProgrammeStep[], words: string, stepsStay = false) => {
    if (programme) put(steps.length === 0 ? null : { ...programme, steps }, words, stepsStay);
  };
  return (
    <section class="card" aria-label="Programme">
      <h2>Programme</h2>
      <div class="fields">
        <label class="wide">
          the bench follows
          <select
            value={chosen}
            onChange={(e) => {
              const { value } = e.currentTarget;
              put(value === 'none' ? null : (offered.find(({ id }) => id === value) ?? null), 'programme');
            }}
            data-field="programme"
          >
            <option value="none">no programme: the dial is turned as you like</option>
            {offered.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
            {chosen === 'own' && <option value="own">{programme!.name}, changed for this job</option>}
          </select>
        </label>
      </div>
      {programme && (
        <details>
          <summary>{stepsWords(programme)}</summary>
          <ol class="steps" data-list="programme">
            {programme.steps.map((step, index) => (
              <li key={index}>
                <select
                  aria-label={`Mark of step ${index + 1}`}
                  value={step.mark}
                  onChange={(e) =>
                    edit(
                      programme.steps.with(index, { ...step, mark: e.currentTarget.value }),
                      `step ${index + 1} of the programme`,
                    )
                  }
                >
                  {series.speeds.map(({ label }) => (
                    <option key={label}>{label}</option>
                  ))}
                </select>
                <DraftField
                  type="number"
                  min={1}
                  max={100}
                  aria-label={`Firings of step ${index + 1}`}
                  value={String(step.firings)}
                  commit={(text) =>
                    edit(
                      programme.steps.with(index, { ...step, firings: numberIn(text) }),
                      `firings of step ${index + 1}`,
                      true,
                    )
                  }
                />
                <button
                  type="button"
                  class="small"
                  disabled={index === 0}
                  aria-label={`Step ${index + 1} earlier`}
                  onClick={() => edit(moved(programme.steps, index), 'order of the programme')}
                >
                  ↑
                </button>
                <button
                  type="button"
                  class="small"
                  disabled={index === programme.steps.length - 1}
                  aria-label={`Step ${index + 1} later`}
                  onClick={() => edit(moved(programme.steps, index + 1), 'order of the programme')}
                >
                  ↓
                </button>
                <button
                  type="button"
                  class="small"
                  aria-label={`Leave out step ${index + 1}`}
                  onClick={() =>
                    edit(
                      programme.steps.filter((_, other) => other !== index),
                      `step ${index + 1} left out of the programme`,
                    )
                  }
                >
                  ✕
                </button>
              </li>
            ))}
          </ol>
          <button
            type="button"
            class="small"
            onClick={() =>
              edit([...programme.steps, programme.steps.at(-1)!], 'step added to the programme', true)
            }
            data-action="add-step"
          >
            Add a step
          </button>
        </details>
      )}
      {problem && <p class="trouble">{problem}</p>}
    </section>
  );
}

/** Steps left out at a stage are known by their place: with other steps they would be others. */
function withProgramme(job: Job, programme: Programme | null, stepsStay: boolean): Job {
  if (stepsStay) return { ...job, programme };
  const afresh = (stage: StageId) => ({ ...job.stages[stage], skipped: [] });
  return {
    ...job,
    programme,
    stages: {
      'as found': afresh('as found'),
      trials: afresh('trials'),
      'after rest': afresh('after rest'),
      'as left': afresh('as left'),
    },
  };
}

/** The step at `index` changes places with the one before it. */
const moved = (steps: readonly ProgrammeStep[], index: number) =>
  steps.with(index, steps[index - 1]!).with(index - 1, steps[index]!);

const same = (a: Programme, b: Programme) =>
  a.id === b.id && JSON.stringify(a.steps) === JSON.stringify(b.steps);

function stepsWords({ steps }: Programme): string {
  const firings = steps.reduce((sum, step) => sum + step.firings, 0);
  const count = (n: number, what: string) => `${n} ${what}${n === 1 ? '' : 's'}`;
  return `${count(steps.length, 'step')}, ${count(firings, 'firing')}`;
}
