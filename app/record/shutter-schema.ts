import * as v from 'valibot';
import { finite, name, positiveSeconds, share, stopsField, text } from './field-schemas.ts';

/** What is said of a shutter: its marks and their bands, how it is built, and how it stands. */

const markSchema = v.strictObject({
  label: name,
  marked: v.nullable(positiveSeconds),
  exact: v.nullable(positiveSeconds),
});

export const seriesSchema = v.strictObject({
  id: name,
  name: text,
  speeds: v.pipe(
    v.array(markSchema),
    v.minLength(1),
    v.check(
      (speeds) => new Set(speeds.map(({ label }) => label)).size === speeds.length,
      'must not hold a mark twice',
    ),
  ),
});

export const bandSchema = v.pipe(
  v.strictObject({ lower: stopsField, upper: stopsField }),
  v.check(({ lower, upper }) => lower < upper, 'the lower limit must lie below the upper one'),
);

export const referenceRule = v.picklist(['marked', 'exact']);
export const bandUnit = v.picklist(['EV', '%']);
export const decisionRule = v.picklist(['simple', 'guard band']);

export const profileSchema = v.strictObject({
  governed: v.array(name),
  pallet: v.array(name),
  booster: v.array(name),
  fromCentre: v.boolean(),
});

export const assemblySchema = v.strictObject({
  mounting: v.picklist(['not stated', 'bare', 'front plate fastened', 'in the body']),
  cells: v.picklist(['not stated', 'in', 'out']),
  iris: text,
  release: v.picklist(['not stated', 'by hand', 'cable', 'body']),
  cocking: v.picklist(['not stated', 'lever', 'film advance']),
  attitude: text,
  temperature: v.nullable(finite),
});

export const setUpSchema = v.strictObject({
  light: v.picklist(['not stated', 'broad and even', 'near-parallel', 'small lamp']),
  sensor: v.picklist([
    'not stated',
    'at the film plane',
    'close to the shutter',
    'narrow opening at the curtain',
  ]),
  seenShare: v.nullable(share),
  linearity: v.nullable(
    v.pipe(
      finite,
      v.check((departure) => departure >= 0 && departure < 1, 'must lie from 0 to below 1'),
    ),
  ),
  bandwidthHz: v.nullable(
    v.pipe(
      finite,
      v.check((hertz) => hertz > 0 && hertz <= 1e8, 'must lie above 0 and up to 100 MHz'),
    ),
  ),
  note: text,
});

export const syncSetting = v.picklist(['not stated', 'X', 'M']);
