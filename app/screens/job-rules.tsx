import { useState } from 'preact/hooks';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { ruleWords } from '../judge/verdict-words.ts';
import { type Job, STAGES } from '../record/job.ts';
import { DraftField } from './draft-field.tsx';
import type { JudgingProps } from './job-band.tsx';
import { limitText, numberIn } from './mark-fields.tsx';

/** How the uncertainty of measurement enters a verdict, and what is asked of the spread. */
export function RuleFields({ value, change, prefix = '' }: JudgingProps) {
  const [problem, setProblem] = useState('');
  return (
    <>
      <label class="wide">
        decision rule
        <select
          value={value.decisionRule}
          onChange={(e) => {
            const decisionRule = e.currentTarget.value as Job['decisionRule'];
            change({ decisionRule }, 'decision rule');
          }}
          data-field={`${prefix}decision-rule`}
        >
          <option value="simple">simple acceptance</option>
          <option value="guard band">guard band as wide as U</option>
        </select>
      </label>
      <label>
        limit on spread (SD), EV
        <DraftField
          type="number"
          step="0.01"
          min={0}
          placeholder="no limit"
          value={value.spreadLimit === null ? '' : limitText(value.spreadLimit, 'EV')}
          commit={(text) => {
            const none = text.trim() === '';
            const limit = numberIn(text);
            const sound = none || (limit > 0 && limit <= 3);
            setProblem(
              sound ? '' : 'The limit on spread must be above 0 and at most 3 EV, or empty for none.',
            );
            if (sound) change({ spreadLimit: none ? null : stops(limit) }, 'limit on spread');
          }}
          data-field={`${prefix}spread-limit`}
        />
      </label>
      <p class="wide quiet">{ruleWords(value.decisionRule)}</p>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

/** How often each mark is fired before a verdict is given. */
export function LeastFields({ value, change, prefix = '' }: JudgingProps) {
  const [problem, setProblem] = useState('');
  return (
    <>
      {STAGES.map((stage) => (
        <label key={stage}>
          least firings {stage}
          <DraftField
            type="number"
            min={1}
            max={50}
            value={String(value.leastFirings[stage])}
            commit={(text) => {
              const least = numberIn(text);
              const sound = Number.isInteger(least) && least >= 1 && least <= 50;
              setProblem(sound ? '' : `Least firings ${stage} must be a whole number from 1 to 50.`);
              if (sound) change({ leastFirings: { ...value.leastFirings, [stage]: least } }, 'least firings');
            }}
            data-field={`${prefix}least-${stage.replace(' ', '-')}`}
          />
        </label>
      ))}
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}

const LEAST_MS = 0.01;
const MOST_MS = 100;

/** For X the whole of the flash has to fall into the open shutter. */
export function FlashField({ value, change, prefix = '' }: JudgingProps) {
  const [problem, setProblem] = useState('');
  return (
    <>
      <label>
        the flash lasts, ms
        <DraftField
          type="number"
          step="0.1"
          min={LEAST_MS}
          max={MOST_MS}
          value={String(Number((1000 * value.flashDuration).toFixed(3)))}
          commit={(text) => {
            const ms = numberIn(text);
            const sound = ms >= LEAST_MS && ms <= MOST_MS;
            setProblem(
              sound ? '' : `The duration of the flash must lie between ${LEAST_MS} and ${MOST_MS} ms.`,
            );
            if (sound) change({ flashDuration: seconds(ms / 1000) }, 'duration of the flash');
          }}
          data-field={`${prefix}flash-duration`}
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}
