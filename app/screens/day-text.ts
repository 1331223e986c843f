/** Days and times of day on the screens, where this computer stands, in the order the workshop likes. */
import type { DateStyle } from '../record/preferences.ts';

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

const two = (n: number) => String(n).padStart(2, '0');

/** The day of a time stamp (ISO 8601): '3 Apr 2031', 'Apr 3, 2031' or '2031-04-03'; the text itself if it is none. */
export function dayText(iso: string, style: DateStyle): string {
  const at = new Date(iso);
  if (Number.isNaN(at.getTime())) return iso;
  const [year, month, day] = [at.getFullYear(), at.getMonth(), at.getDate()];
  switch (style) {
    case 'day month year':
      return `${day} ${MONTHS[month]} ${year}`;
    case 'month day, year':
      return `${MONTHS[month]} ${day}, ${year}`;
    case 'year-month-day':
      return `${year}-${two(month + 1)}-${two(day)}`;
  }
}

/** The same with the time of day: '3 Apr 2031, 14:05'. */
export function momentText(iso: string, style: DateStyle): string {
  const at = new Date(iso);
  return Number.isNaN(at.getTime())
    ? iso
    : `${dayText(iso, style)}, ${two(at.getHours())}:${two(at.getMinutes())}`;
}
