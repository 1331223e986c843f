/**
 * Canonical JSON after RFC 8785: the same data always give the same bytes, whoever writes them and in whatever
 * order their fields were set. Members stand in the order of the UTF-16 code units of their names, without
 * white space, numbers and strings as ECMAScript writes them.
 *
 * Broken surrogate pairs, which UTF-8 can't hold, become U+FFFD.
 *
 * @throws RangeError for a number that is not finite, and for what JSON doesn't know.
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === 'boolean') return String(value);
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new RangeError(`JSON has no number ${value}.`);
    return JSON.stringify(value);
  }
  if (typeof value === 'string') return JSON.stringify(value.replace(/\p{Cs}/gu, '\uFFFD'));
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value === 'object') {
    const members = Object.entries(value)
      .filter(([, member]) => member !== undefined)
      .toSorted(([a], [b]) => (a < b ? -1 : 1))
      .map(([name, member]) => `${canonicalJson(name)}:${canonicalJson(member)}`);
    return `{${members.join(',')}}`;
  }
  throw new RangeError(`JSON has no ${typeof value}.`);
}
