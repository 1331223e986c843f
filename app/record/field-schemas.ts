import * as v from 'valibot';
import { seconds, stops, ticks } from '../../firmware-protocol/units.ts';

/** Fields that several records share. Objects are strict: an unknown field is a fault, not a thing to drop. */

export const text = v.string();
export const name = v.pipe(v.string(), v.nonEmpty());
/** Neither NaN nor an infinity, which JSON would turn into null. */
export const finite = v.pipe(v.number(), v.finite());
export const notNegative = v.pipe(finite, v.minValue(0));
export const positive = v.pipe(
  finite,
  v.check((value) => value > 0, 'must be above zero'),
);
/** Above zero, up to the whole. */
export const share = v.pipe(positive, v.maxValue(1));
export const count = v.pipe(v.number(), v.safeInteger(), v.minValue(0));
export const positiveCount = v.pipe(v.number(), v.safeInteger(), v.minValue(1));
export const timestamp = v.pipe(v.string(), v.isoTimestamp());

export const tickField = v.pipe(v.number(), v.safeInteger(), v.transform(ticks));
export const secondsField = v.pipe(finite, v.transform(seconds));
export const stopsField = v.pipe(finite, v.transform(stops));

export const positiveSeconds = v.pipe(
  secondsField,
  v.check((time) => time > 0, 'must be above zero'),
);
export const positiveStops = v.pipe(
  stopsField,
  v.check((limit) => limit > 0, 'must be above zero'),
);

/** A list of records that are told apart by their id. */
export const listById = <Item extends v.GenericSchema<unknown, { readonly id: string }>>(item: Item) =>
  v.pipe(
    v.array(item),
    v.check(
      (list) => new Set(list.map(({ id }) => id)).size === list.length,
      'must not hold the same id twice',
    ),
  );
