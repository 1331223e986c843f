import type { ContactLeadResult } from './camera-checks.ts';

/** What the test of the lead found, and what to do; null: the test can't say anything. */
export function contactLeadSentence(result: ContactLeadResult | null): string {
  if (result === null) {
    return 'The contact did not move, and nobody knows whether it stands open or closed. Pull the board off its cable and plug it in again, then repeat the test.';
  }
  const { state, closures, bounces, seconds } = result;
  const seen = `${counted(closures, 'closure')} and ${counted(bounces, 'bounce')} in ${seconds.toFixed(0)} s`;
  switch (state) {
    case 'works':
      return `The lead works: ${seen}.`;
    case 'never closed':
      return `The contact did not close in ${seconds.toFixed(0)} s. Is the lead plugged in at both ends? Touch its ends together: if that is not seen either, look at the lead and the board, and only then at the camera.`;
    case 'always closed':
      return 'The contact stood closed all the time. Unplug the lead from the camera: if it still shows closed, the lead or the plug has a short circuit, otherwise the camera has.';
    case 'bounces':
      return `${closures === 0 ? `The contact closed for less than a millisecond at a time, in ${seconds.toFixed(0)} s` : `The contact bounces: ${seen}`}. Move the lead and its plug while it is closed; if that makes it worse, the lead is to blame, otherwise the contact.`;
  }
}

const counted = (n: number, what: string): string => `${n} ${what}${n === 1 ? '' : 's'}`;
