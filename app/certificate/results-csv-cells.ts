/** Cells and lines of CSV after RFC 4180, made so that a spreadsheet takes text for text and numbers for numbers. */

export type CsvSeparator = ',' | ';';
export type CsvDecimal = '.' | ',';

/** A number is written as one, whatever its sign; null is an empty cell. */
export type CsvCell = string | number | null;

/** Significant digits: finer than any figure here is meant, and no rounding that shows in a sum. */
const DIGITS = 7;

/**
 * Lines with CRLF after each. As many cells in each line as in the first, which names them.
 *
 * Text that a spreadsheet would take for a formula gets an apostrophe before it (OWASP ASVS 5.0, 1.2.10), which a
 * spreadsheet shows and nothing runs.
 */
export function csvText(
  lines: readonly (readonly CsvCell[])[],
  separator: CsvSeparator,
  decimal: CsvDecimal,
): string {
  return lines
    .map((cells) => `${cells.map((cell) => quoted(cellText(cell, decimal), separator)).join(separator)}\r\n`)
    .join('');
}

function cellText(cell: CsvCell, decimal: CsvDecimal): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(Number(cell.toPrecision(DIGITS))).replace('.', decimal);
  return FORMULA.test(cell) ? `'${cell}` : cell;
}

/**
 * Beginnings of a formula or a command: the characters OWASP names, their full-width forms, and the bar and the
 * minus sign; white space before them doesn't make them harmless. A control character in front counts as well.
 */
const FORMULA = /^[\s\p{Cc}]*[=+\-@|\uFF1D\uFF0B\uFF0D\uFF20\u2212]|^\p{Cc}/u;

/** RFC 4180, 2.6 and 2.7. White space at either end is quoted too, since some programs trim it. */
function quoted(text: string, separator: CsvSeparator): string {
  const needed = /["\r\n\t]|^\s|\s$/.test(text) || text.includes(separator);
  return needed ? `"${text.replaceAll('"', '""')}"` : text;
}
