/** What the contact does just now, in one word that can be read from the bench. */
import type { Checking } from './view.ts';

export type LeadWord = 'closed' | 'open' | 'bouncing' | 'dead' | 'not known yet';

/** A bounce is over in a moment: the word stands this long, so that it can be read. Seconds. */
const BOUNCE_SHOWN = 0.7;
/** Without any closure for so long, an open contact is called dead: nobody works it within the first moment. Seconds. */
export const DEAD_AFTER = 4;

export const LEAD_WORDS: Record<LeadWord, string> = {
  closed: 'The contact is closed.',
  open: 'The contact is open.',
  bouncing: 'The contact breaks and makes within a moment.',
  dead: 'It has not closed at all yet. Is the lead plugged in at both ends? Touch its ends together.',
  'not known yet': 'The board has not told yet how the contact stands: work it once.',
};

/** `bouncedAt`: when in the test the last bounce was counted, in seconds; −Infinity if there was none. */
export function leadWord(
  { closed, closures, seconds }: Omit<Extract<Checking, { kind: 'contact lead' }>, 'kind'>,
  bouncedAt: number,
): LeadWord {
  if (seconds - bouncedAt < BOUNCE_SHOWN) return 'bouncing';
  if (closed === true) return 'closed';
  if (closures === 0 && seconds >= DEAD_AFTER) return 'dead';
  return closed === null ? 'not known yet' : 'open';
}
