import { describe, expect, it } from 'vitest';
import { type Calendar, dateOf, datesOf, momentOf } from '../../app/certificate/dates.ts';

const late = '2031-03-02T23:30:00Z';
const as = (style: Calendar['style'], timeZone?: string): Calendar => ({ style, timeZone });

describe('days on paper', () => {
  it.each([
    ['day month year', '2 March 2031', '2 March 2031, 23:30'],
    ['month day, year', 'March 2, 2031', 'March 2, 2031, 23:30'],
    ['year-month-day', '2031-03-02', '2031-03-02 23:30'],
  ] as const)('are printed in the style of the workshop: %s', (style, day, moment) => {
    expect(dateOf(late, as(style))).toBe(day);
    expect(momentOf(late, as(style))).toBe(moment);
    expect(dateOf('soon', as(style))).toBe('soon');
    expect(momentOf('soon', as(style))).toBe('soon');
  });

  it('are those of the zone asked for, or as they were written down', () => {
    const style = 'day month year';
    expect(dateOf(late, as(style, 'Europe/Berlin'))).toBe('3 March 2031');
    expect(momentOf(late, as(style, 'America/New_York'))).toBe('2 March 2031, 18:30');
    expect(dateOf('2031-12-31T23:30:00-05:00', as(style))).toBe('31 December 2031');
  });

  it('are given from first to last, whatever the order', () => {
    const style = 'day month year';
    const days = ['2031-11-03T10:00:00Z', '2031-02-10T10:00:00Z', '2031-02-09T10:00:00Z'];
    expect(datesOf(days, as(style))).toBe('9 February 2031 to 3 November 2031');
    expect(datesOf(days.slice(0, 1), as(style))).toBe('3 November 2031');
    expect(datesOf([], as(style))).toBe('no readings');
  });
});
