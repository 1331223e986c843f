import { view } from '../view.ts';
import { say } from './notices.ts';

interface Step {
  readonly words: string;
  readonly back: () => Promise<void>;
}

const steps: Step[] = [];
const DEEPEST = 50;

const show = () => view.setState({ undo: steps.at(-1)?.words ?? null });

/** Remembers how to take a step back. `words` completes the sentence "Undone: …". */
export function undoable(words: string, back: () => Promise<void>): void {
  steps.push({ words, back });
  if (steps.length > DEEPEST) steps.shift();
  show();
}

export async function undo(): Promise<void> {
  const step = steps.pop();
  show();
  if (!step) return;
  try {
    await step.back();
    say(`Undone: ${step.words}.`);
  } catch (error) {
    say(`That could not be undone: ${(error as Error).message}`, 'trouble');
  }
}

/** Steps of one job can't be taken back from within another. */
export function forgetSteps(): void {
  steps.length = 0;
  show();
}
