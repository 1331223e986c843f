/** Days and times of day as they are printed. */

import type { DateStyle } from '../record/preferences.ts';

/** How a moment is printed. */
export interface Calendar {
  /** IANA name of the zone in which days are printed; undefined: as they were written down. */
  readonly timeZone: string | undefined;
  readonly style: DateStyle;
}

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

/** The day of a time stamp: '6 March 2031', 'March 6, 2031' or '2031-03-06'; what is no time stamp as it is. */
export function dateOf(iso: string, calendar: Calendar): string {
  const parts = partsOf(iso, calendar.timeZone);
  return parts === null ? iso : dayWords(parts.date, calendar.style);
}

/** Day and time of day, '6 March 2031, 09:50', likewise. */
export function momentOf(iso: string, calendar: Calendar): string {
  const parts = partsOf(iso, calendar.timeZone);
  if (parts === null) return iso;
  const between = calendar.style === 'year-month-day' ? ' ' : ', ';
  return `${dayWords(parts.date, calendar.style)}${between}${parts.time}`;
}

/** One day, 'first to last', or 'no readings'. */
export function datesOf(stamps: readonly string[], calendar: Calendar): string {
  const days = stamps.map((stamp) => partsOf(stamp, calendar.timeZone)?.date ?? stamp).toSorted();
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) return 'no readings';
  const words = (day: string) => dayWords(day, calendar.style);
  return first === last ? words(first) : `${words(first)} to ${words(last)}`;
}

/** `date`: 'yyyy-mm-dd'. */
function dayWords(date: string, style: DateStyle): string {
  const [year, month, day] = date.split('-').map(Number);
  const name = MONTHS[(month ?? 0) - 1];
  if (style === 'year-month-day' || name === undefined) return date;
  return style === 'day month year' ? `${day} ${name} ${year}` : `${name} ${day}, ${year}`;
}

interface Parts {
  /** 'yyyy-mm-dd'. */
  readonly date: string;
  /** 'hh:mm'. */
  readonly time: string;
}

/** Null where the text is no time stamp. @throws RangeError for an unknown zone. */
function partsOf(iso: string, timeZone: string | undefined): Parts | null {
  if (timeZone === undefined) {
    const [, date, time] = /^(\d{4}-\d{2}-\d{2})(?:T(\d{2}:\d{2}))?/.exec(iso) ?? [];
    return date === undefined ? null : { date, time: time ?? '00:00' };
  }
  const moment = Date.parse(iso);
  if (Number.isNaN(moment)) return null;
  const format = new Intl.DateTimeFormat('en', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  const part = Object.fromEntries(format.formatToParts(moment).map(({ type, value }) => [type, value]));
  return { date: `${part.year}-${part.month}-${part.day}`, time: `${part.hour}:${part.minute}` };
}
