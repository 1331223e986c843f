/** Reads the tables and figures that hardware-notes prints, for the tests that compute them again. */
import { readFileSync } from 'node:fs';

export const NOTES = new URL('../../hardware-notes/', import.meta.url);

export const page = (name: string): string => readFileSync(new URL(name, NOTES), 'utf8');

type Row = Readonly<Record<string, string>>;

/**
 * Rows of the only table of a page whose first column is headed `head`, by column heading.
 * @throws Error if there isn't exactly one.
 */
export function table(name: string, head: string): readonly Row[] {
  const cells = (line: string) =>
    line
      .trim()
      .slice(1, -1)
      .split('|')
      .map((cell) => cell.trim());
  const tables = page(name)
    .split(/\n{2,}/)
    .map((block) => block.split('\n').filter((line) => line.startsWith('|') && line.endsWith('|')))
    .filter((lines) => lines.length > 2 && cells(lines[0]!)[0] === head);
  if (tables.length !== 1) throw new Error(`${name}: ${tables.length} tables headed '${head}'`);
  const [headings, , ...rows] = tables[0]!.map(cells);
  return rows.map((row) => Object.fromEntries(headings!.map((heading, column) => [heading, row[column]!])));
}

const UNIT: Readonly<Record<string, number>> = {
  Ω: 1,
  kΩ: 1e3,
  pF: 1e-12,
  nF: 1e-9,
  µF: 1e-6,
  mm: 1e-3,
  mA: 1e-3,
  V: 1,
  lm: 1,
  ms: 1e-3,
  '%': 0.01,
};

/** Every number with a known unit in a text, in order, in SI units. */
function quantities(text: string): readonly number[] {
  return [...text.matchAll(/(\d+(?:\.\d+)?) (kΩ|Ω|pF|nF|µF|mm|mA|ms|V|lm|%)(?![\p{L}])/gu)].map(
    ([, number, unit]) => Number(number) * UNIT[unit!]!,
  );
}

/** The first of them. @throws Error if there is none. */
export function quantity(text: string): number {
  const [first] = quantities(text);
  if (first === undefined) throw new Error(`no quantity in '${text}'`);
  return first;
}

type PartsTable = 'ref' | 'circuit 1' | 'circuit 2';

/** What the parts list says of a part. @throws Error if it isn't listed. */
export function partText(list: PartsTable, ref: string): string {
  const row = table('README.md', list).find((candidate) => candidate[list]!.split(', ').includes(ref));
  if (!row) throw new Error(`no part ${ref}`);
  return row.value!;
}

/** Value of a part of the list; several parts of one row have their values in the same order. */
export function partValue(list: PartsTable, ref: string): number {
  const row = table('README.md', list).find((candidate) => candidate[list]!.split(', ').includes(ref));
  if (!row) throw new Error(`no part ${ref}`);
  const refs = row[list]!.split(', ');
  const values = quantities(row.value!);
  return values.length === refs.length ? values[refs.indexOf(ref)]! : values[0]!;
}

/** ATmega328P data sheet: full scale 2^8 codes over the supply. */
export const SUPPLY = 5;
export const VOLTS_PER_CODE = SUPPLY / 256;
/** ATmega328P data sheet: 13 clocks of the converter each, its clock 16 MHz / 32 and 16 MHz / 16. */
export const RATES = { normal: 16e6 / 32 / 13, fast: 16e6 / 16 / 13 } as const;

/** Current of the photodiode per lux: 75 nA/lx from data sheets (illuminant A), 7.5 nA/lx calculated. */
export const AMPERES_PER_LUX = { white: 7.5e-9, tungsten: 75e-9 } as const;

export const lowPass = (ohms: number, farads: number): number => 1 / (2 * Math.PI * ohms * farads);

/** ISO 516:2019: detector within ±3 dB from DC to 100/t0. Half the sampling rate limits as well. */
export const toStandardFrom = (samplingRate: number, bandwidth: number): string =>
  `${((100 / Math.min(samplingRate / 2, bandwidth)) * 1e3).toFixed(1)} ms`;

export const microamperes = (amperes: number): string => `${(amperes * 1e6).toFixed(1)} µA`;

export const lux = (amperes: number, lamp: keyof typeof AMPERES_PER_LUX): string =>
  `${(amperes / AMPERES_PER_LUX[lamp]).toFixed(0)} lx`;

export interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
}

/** Opening tags of a drawing, in order. */
export function elements(svg: string): Element[] {
  return [...svg.matchAll(/<([a-z]+)((?:\s+[\w:-]+="[^"]*")*)\s*\/?>/gi)].map(([, name, rest]) => ({
    name: name!,
    attributes: Object.fromEntries(
      [...rest!.matchAll(/([\w:-]+)="([^"]*)"/g)].map(([, key, value]) => [key!, value!]),
    ),
  }));
}

/** The part of a drawing between a group's opening tag with this attribute and its end. */
export function group(svg: string, attribute: string): string {
  const begin = svg.indexOf(`<g ${attribute}`);
  if (begin < 0) throw new Error(`no group ${attribute}`);
  return svg.slice(begin, svg.indexOf('</g>', begin));
}
