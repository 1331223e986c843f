import * as v from 'valibot';
import { MECHANICAL_STATES } from '../judge/camera-checks.ts';
import { listById, name, positive, stopsField, text, timestamp } from './field-schemas.ts';

/** Checks of a camera besides its speeds. */

export const selfTimerSchema = listById(
  v.strictObject({
    id: name,
    at: timestamp,
    seconds: positive,
    startedBy: v.picklist(['release switch', 'key']),
    setAside: v.nullable(text),
  }),
);

const notNegativeStops = v.pipe(
  stopsField,
  v.check((width) => width >= 0, 'must not be below zero'),
);

export const meterSchema = v.strictObject({
  notation: v.picklist(['EV', 'f-number and time', 'needle mark']),
  iso: positive,
  constant: v.strictObject({ kind: v.picklist(['K', 'C']), value: positive }),
  cell: v.picklist(['not stated', 'selenium', 'CdS', 'silicon']),
  battery: v.nullable(positive),
  source: v.strictObject({ words: text, uncertainty: v.nullable(notNegativeStops) }),
  points: listById(
    v.strictObject({
      id: name,
      light: positive,
      reading: v.union([
        v.strictObject({ ev: v.pipe(v.number(), v.finite()) }),
        v.strictObject({ fNumber: positive, seconds: positive }),
      ]),
      note: text,
    }),
  ),
});

export const mechanicsSchema = listById(
  v.strictObject({ id: name, name: text, state: v.picklist(MECHANICAL_STATES), note: text }),
);
