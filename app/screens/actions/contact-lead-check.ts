/** The test of the contact lead: the contact is worked by hand, and the page shows what the board sees of it. */
import { contactLeadSentence } from '../../judge/contact-lead-sentences.ts';
import { ContactLeadTest } from '../../measure/contact-lead.ts';
import { DEAD_AFTER } from '../contact-lead-word.ts';
import { view } from '../view.ts';
import { begin, type CheckedBoard, keepCheck, stamped } from './checks.ts';
import { say } from './notices.ts';

/** How often the running time is shown; what the contact does is shown at once. */
const SHOW_EVERY_MS = 200;

let finish: (() => void) | null = null;

/** Keeps what was seen so far. */
export const finishContactLead = (): void => finish?.();

/** Works with every board: edges of the contact come from those that time edges as well. */
export function startContactLead({
  hello,
  contactClosed,
  over,
}: Pick<CheckedBoard, 'hello' | 'contactClosed' | 'over'>): void {
  const test = new ContactLeadTest({ tickHz: hello.tickHz, closed: contactClosed });
  const since = performance.now();
  const seconds = () => (performance.now() - since) / 1000;
  const show = () => {
    const { closed, closures, bounces } = test;
    view.setState({ checking: { kind: 'contact lead', closed, closures, bounces, seconds: seconds() } });
  };
  const ticking = setInterval(show, SHOW_EVERY_MS);
  begin({
    event: (event) => {
      test.take(event);
      if (event.kind === 'contact') show();
    },
    ended: () => {
      clearInterval(ticking);
      finish = null;
      over();
    },
  });
  finish = () => {
    const found = test.result();
    if (found === null) {
      say(contactLeadSentence(null), 'trouble');
      return;
    }
    // The board's clock stands still for this page while a board that times edges has nothing to tell.
    const result = { ...found, seconds: seconds() };
    if (result.state === 'never closed' && result.seconds < DEAD_AFTER) {
      say(`Work the contact by hand first, or watch it for ${DEAD_AFTER} seconds at least.`, 'trouble');
      return;
    }
    keepCheck({ kind: 'contact lead', ...stamped(), result }, 'test of the contact lead');
  };
  show();
}
