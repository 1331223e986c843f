import { expect, it } from 'vitest';
import { contactLeadSentence } from '../../app/judge/contact-lead-sentences.ts';

const seen = { closures: 0, bounces: 0, seconds: 9.6 };

it('says what the test of the lead found and what to do', () => {
  expect(contactLeadSentence(null)).toMatch(/did not move.*plug it in again/);
  expect(contactLeadSentence({ ...seen, state: 'works', closures: 1 })).toBe(
    'The lead works: 1 closure and 0 bounces in 10 s.',
  );
  expect(contactLeadSentence({ ...seen, state: 'works', closures: 3, bounces: 1 })).toBe(
    'The lead works: 3 closures and 1 bounce in 10 s.',
  );
  expect(contactLeadSentence({ ...seen, state: 'never closed' })).toMatch(
    /did not close in 10 s.*only then at the camera/,
  );
  expect(contactLeadSentence({ ...seen, state: 'always closed' })).toMatch(
    /stood closed all the time.*short circuit/,
  );
  expect(contactLeadSentence({ ...seen, state: 'bounces', closures: 1, bounces: 8 })).toMatch(
    /^The contact bounces: 1 closure and 8 bounces in 10 s\. Move/,
  );
  expect(contactLeadSentence({ ...seen, state: 'bounces' })).toMatch(
    /less than a millisecond at a time, in 10 s\. Move/,
  );
});
