/** What the cards of the checks have in common. */
import type { ComponentChildren } from 'preact';
import type { StageId } from '../record/job.ts';
import { useView } from './view.ts';

interface BeginProps {
  readonly live: boolean;
  readonly begin: () => void;
  readonly action: string;
  readonly children: ComponentChildren;
}

/** Begins a check, one at a time and on a live board only. */
export function BeginButton({ live, begin, action, children }: BeginProps) {
  const checking = useView((v) => v.checking);
  return (
    <button
      type="button"
      class="main"
      disabled={!live || checking !== null}
      onClick={begin}
      data-action={action}
    >
      {children}
    </button>
  );
}

/** Day and minute, as the user's clock shows them. */
const momentOf = (iso: string): string =>
  new Date(iso).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });

/** At what stage a check was made, and when. */
export function MadeAt({ stage, at }: { readonly stage: StageId; readonly at: string }) {
  return (
    <span class="quiet">
      {stage}, {momentOf(at)}
    </span>
  );
}
