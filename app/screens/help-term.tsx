import type { ComponentChildren } from 'preact';
import { openHelpAt } from './help-state.ts';
import type { TermId } from './help-terms.ts';

/** The name of a figure that opens the help at what it means. */
export function Term({ id, children }: { readonly id: TermId; readonly children: ComponentChildren }) {
  return (
    <button type="button" class="term" title="What is this?" onClick={() => openHelpAt(id)} data-term={id}>
      {children}
    </button>
  );
}
