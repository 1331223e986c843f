import { signed } from '../judge/verdict-words.ts';
import {
  EFFECT_KEY,
  effectInterval,
  effectWords,
  workEffectSentences,
} from '../judge/work-effect-sentences.ts';
import { type WorkEffect, workEffects } from '../judge/work-effects.ts';
import { workStepWords } from '../judge/work-step-words.ts';
import type { Job } from '../record/job.ts';
import { certifiedFirings } from './actions/readings.ts';
import type { Reading } from './view.ts';
import './work-effects.css';

/** What each piece of work did to each speed, with intervals. */
export function WorkEffects({ job, readings }: { job: Job; readings: readonly Reading[] }) {
  if (job.steps.length === 0) return null;
  const effects = workEffects({
    steps: job.steps,
    readings: certifiedFirings(readings, job),
    series: job.series,
    referenceRule: job.referenceRule,
    profile: job.profile,
  });
  return (
    <section class="card work-effects" aria-label="What the work did">
      <h2>What the work did</h2>
      {effects.map((effect) => (
        <EffectTable key={effect.steps[0]!.id} effect={effect} />
      ))}
      <p class="quiet">{EFFECT_KEY}</p>
    </section>
  );
}

function EffectTable({ effect }: { effect: WorkEffect }) {
  const title = effect.steps.map(workStepWords).join('; ');
  return (
    <div class="scrolls" data-effect={effect.steps.map(({ kind }) => kind).join(' ')}>
      <h3>
        {title} <small class="quiet">after firing {effect.steps.at(-1)!.afterFiring}</small>
      </h3>
      {effect.marks.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">mark</th>
              <th scope="col">before</th>
              <th scope="col">after</th>
              <th scope="col">change</th>
              <th scope="col">95 % interval</th>
              <th scope="col" class="left">
                in words
              </th>
            </tr>
          </thead>
          <tbody>
            {effect.marks.map((mark) => (
              <tr key={mark.label} data-mark={mark.label}>
                <th scope="row">{mark.label}</th>
                <td>
                  {signed(mark.before.meanError, 2)} <small class="quiet">n {mark.before.n}</small>
                </td>
                <td>
                  {signed(mark.after.meanError, 2)} <small class="quiet">n {mark.after.n}</small>
                </td>
                <td data-cell="change">{signed(mark.change, 2)}</td>
                <td data-cell="interval">{effectInterval(mark)}</td>
                <td class="left words" data-cell="words">
                  {effectWords(mark)}
                  {mark.unlike.length > 0 && <span class="beyond">, unlike states</span>}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {workEffectSentences(effect).map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </div>
  );
}
