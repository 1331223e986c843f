/** Days and times of day as they are printed. */

/** The day of a time stamp as yyyy-mm-dd: in the given zone, or as it was written down. */
export function dateOf(iso: string, timeZone: string | undefined): string {
  return partsOf(iso, timeZone)?.date ?? /^\d{4}-\d{2}-\d{2}/.exec(iso)?.[0] ?? iso;
}

/** Day and time of day, 'yyyy-mm-dd hh:mm', likewise. */
export function momentOf(iso: string, timeZone: string | undefined): string {
  const parts = partsOf(iso, timeZone);
  return parts === null
    ? iso.replace(/^(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2}).*$/, '$1 $2')
    : `${parts.date} ${parts.time}`;
}

/** Null where no zone is asked for, or the text is no time stamp. @throws RangeError for an unknown zone. */
function partsOf(iso: string, timeZone: string | undefined): { date: string; time: string } | null {
  const time = Date.parse(iso);
  if (timeZone === undefined || Number.isNaN(time)) return null;
  const format = new Intl.DateTimeFormat('en', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  const part = Object.fromEntries(format.formatToParts(time).map(({ type, value }) => [type, value]));
  return { date: `${part.year}-${part.month}-${part.day}`, time: `${part.hour}:${part.minute}` };
}

/** 'yyyy-mm-dd', 'yyyy-mm-dd to yyyy-mm-dd', or 'no readings'. */
export function datesOf(stamps: readonly string[], timeZone: string | undefined): string {
  const days = stamps.map((stamp) => dateOf(stamp, timeZone)).toSorted();
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) return 'no readings';
  return first === last ? first : `${first} to ${last}`;
}
