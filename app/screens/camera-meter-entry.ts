/** What is written into the table of a meter test, and how it is shown there again. */
import { USUAL_CONSTANT } from '../judge/exposure-values.ts';
import type { MeterNotation, MeterPoint, MeterTest } from '../judge/meter-test.ts';

/** A number above zero, or a sentence on what is wrong. */
type Read = { readonly ok: true; readonly value: number } | { readonly ok: false; readonly problem: string };

const good = (value: number): Read => ({ ok: true, value });
const bad = (problem: string): Read => ({ ok: false, problem });

/** Digits with a point or a comma; anything else is no number. */
const numberOf = (text: string): number =>
  /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text) ? Number(text.replace(',', '.')) : Number.NaN;

const tidy = (text: string): string => text.trim().replace('−', '-');

/**
 * The strength of the light: a number in the unit of the constant (cd/m² or lx), or an exposure value such as
 * 'EV 12', which is what another meter says of it at the film speed of this test.
 */
export function readLight(text: string, { iso, constant }: Pick<MeterTest, 'iso' | 'constant'>): Read {
  const written = tidy(text);
  const ev = /^ev\s*(.+)$/i.exec(written)?.[1] ?? /^(.+?)\s*ev$/i.exec(written)?.[1];
  const value = ev === undefined ? numberOf(written) : (constant.value * 2 ** numberOf(ev)) / iso;
  return value > 0 && Number.isFinite(value)
    ? good(value)
    : bad(
        `“${text.trim()}” is no strength of light: write ${unitOf(constant.kind)} above zero, or an exposure value: EV 12.`,
      );
}

/** Exposure values run from about −6 in starlight to 20 in glare; beyond these limits it is a slip of the hand. */
export function readEv(text: string): Read {
  const value = numberOf(tidy(text).replace(/\s*ev\s*/i, ''));
  return Math.abs(value) <= 30
    ? good(value)
    : bad(`“${text.trim()}” is no exposure value: write 11 or 11.5.`);
}

export function readFNumber(text: string): Read {
  const value = numberOf(tidy(text).replace(/^f\s*\/?\s*/i, ''));
  return value >= 0.5 && value <= 512
    ? good(value)
    : bad(`“${text.trim()}” is no f-number: write 5.6 or f/5.6.`);
}

/** Seconds: '1/60', '0.5', '2', '2 s', '2"'. */
export function readTime(text: string): Read {
  const written = tidy(text).replace(/\s*(s|sec|"|″)$/i, '');
  const fraction = /^(\d+)\s*\/\s*(\d+)$/.exec(written);
  const value = fraction ? Number(fraction[1]) / Number(fraction[2]) : numberOf(written);
  return value > 0 && value <= 3600 ? good(value) : bad(`“${text.trim()}” is no time: write 1/60, 0.5 or 2.`);
}

/** A reading as its fields are written: one field of an exposure value, or f-number and time. */
export function readReading(
  fields: readonly string[],
):
  | { readonly ok: true; readonly reading: MeterPoint['reading'] }
  | { readonly ok: false; readonly problem: string } {
  const read = fields.length === 1 ? [readEv(fields[0]!)] : [readFNumber(fields[0]!), readTime(fields[1]!)];
  const values: number[] = [];
  for (const one of read) {
    if (!one.ok) return one;
    values.push(one.value);
  }
  return {
    ok: true,
    reading: values.length === 1 ? { ev: values[0]! } : { fNumber: values[0]!, seconds: values[1]! },
  };
}

/** The fields of a reading as they are shown. */
export const readingFields = (reading: MeterPoint['reading']): readonly string[] =>
  'ev' in reading ? [plain(reading.ev)] : [plain(reading.fNumber), timeField(reading.seconds)];

/** As engraved where it is a whole reciprocal, else in seconds. */
function timeField(seconds: number): string {
  const reciprocal = 1 / seconds;
  const whole = Math.round(reciprocal);
  return whole >= 2 && Math.abs(reciprocal - whole) < 1e-6 * whole ? `1/${whole}` : plain(seconds);
}

/** To four digits, which is finer than any light is known. */
const plain = (value: number): string => String(Number(value.toPrecision(4))).replace('-', '−');

export const lightField = plain;

export const unitOf = (kind: MeterTest['constant']['kind']): string => (kind === 'K' ? 'cd/m²' : 'lx');

/** Fields that a reading is written in; at a needle mark the setting is noted at which the needle meets it. */
export const fieldNames: Record<MeterNotation, readonly string[]> = {
  EV: ['EV read'],
  'f-number and time': ['f-number', 'time, s'],
  'needle mark': ['f-number', 'time, s'],
};

/** A test as it begins; common practice, no source. */
export const newMeterTest: MeterTest = {
  notation: 'EV',
  iso: 100,
  constant: { kind: 'K', value: USUAL_CONSTANT.K },
  cell: 'not stated',
  battery: null,
  source: { words: '', uncertainty: null },
  points: [],
};
