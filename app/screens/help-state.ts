/** Whether the help is open, and at which term. */
import { createStore } from 'zustand/vanilla';

interface HelpState {
  readonly open: boolean;
  /** Id of the term that was asked for, or null. */
  readonly term: string | null;
  /** Goes up with each question, so that the same term can be asked for again. */
  readonly asked: number;
}

export const helpState = createStore<HelpState>()(() => ({ open: false, term: null, asked: 0 }));

export function toggleHelp(): void {
  helpState.setState(({ open, asked }) => ({ open: !open, term: null, asked: asked + 1 }));
}

export const closeHelp = (): void => helpState.setState({ open: false });

export function openHelpAt(term: string): void {
  helpState.setState(({ asked }) => ({ open: true, term, asked: asked + 1 }));
}
