/** Notes on what was done to the shutter between firings. Each is undoable. */
import type { WorkStep } from '../../judge/work-step.ts';
import { workStepWords } from '../../judge/work-step-words.ts';
import { view } from '../view.ts';
import { changeJob } from './jobs.ts';
import { belongsToJob } from './readings.ts';

/** Notes a step after the latest firing of the job. */
export function addWorkStep(step: Pick<WorkStep, 'kind' | 'direction' | 'amount' | 'note'>): void {
  const { readings } = view.getState();
  const whole: WorkStep = {
    ...step,
    id: crypto.randomUUID(),
    at: new Date().toISOString(),
    afterFiring: readings.filter(belongsToJob).reduce((last, { ordinal }) => Math.max(last, ordinal), 0),
  };
  changeJob((job) => ({ ...job, steps: [...job.steps, whole] }), `${workStepWords(whole)} noted`);
}

export function removeWorkStep(id: string): void {
  const step = view.getState().job?.steps.find((one) => one.id === id);
  if (!step) return;
  changeJob(
    (job) => ({ ...job, steps: job.steps.filter((one) => one.id !== id) }),
    `note “${workStepWords(step)}” removed`,
  );
}
