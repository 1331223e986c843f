import { view } from '../view.ts';
import { say } from './notices.ts';

interface Step {
  readonly words: string;
  readonly back: () => Promise<void>;
}

const steps: Step[] = [];
const DEEPEST = 50;

const show = () => view.setState({ undo: steps.at(-1)?.words ?? null });

/**
 * Remembers how to take a step back. `words` completes the sentence "Undone: …". Returns how to forget the
 * step again, for one that could not be carried out.
 */
export function undoable(words: string, back: () => Promise<void>): () => void {
  const step = { words, back };
  steps.push(step);
  if (steps.length > DEEPEST) steps.shift();
  show();
  return () => {
    const at = steps.indexOf(step);
    if (at >= 0) steps.splice(at, 1);
    show();
  };
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

/** `now` with the parts that one step changed as they were before it; what has come since stays. */
export function withoutChange<Whole extends object>(now: Whole, before: Whole, after: Whole): Whole {
  const parts = Object.keys(after) as (keyof Whole)[];
  const changed = parts.filter((part) => before[part] !== after[part]);
  return { ...now, ...Object.fromEntries(changed.map((part) => [part, before[part]])) };
}
