import { expect, it } from 'vitest';
import { dayText, momentText } from '../../app/screens/day-text.ts';

// Without a zone the time is that of the place where the test runs (ECMA-262, Date Time String Format).
const local = '2031-03-05T09:07:00';

it('writes a day in the order the workshop likes, and the time of day beside it', () => {
  expect(dayText(local, 'day month year')).toBe('5 Mar 2031');
  expect(dayText(local, 'month day, year')).toBe('Mar 5, 2031');
  expect(dayText(local, 'year-month-day')).toBe('2031-03-05');
  expect(momentText(local, 'day month year')).toBe('5 Mar 2031, 09:07');
});

it('leaves what is no time stamp as it stands', () => {
  expect(dayText('some day', 'day month year')).toBe('some day');
  expect(momentText('some day', 'day month year')).toBe('some day');
});
