import * as v from 'valibot';
import {
  count,
  finite,
  name,
  notNegative,
  positive,
  positiveCount,
  stopsField,
  timestamp,
} from './field-schemas.ts';
import { type Check, STAGES } from './job.ts';

/** Checks of the instrument made during a job. */

const lightCheckSchema = v.strictObject({
  dark: finite,
  noise: notNegative,
  darkSeconds: notNegative,
  openSeconds: notNegative,
  height: finite,
  heightUncertainty: notNegative,
  headroom: finite,
  flicker: v.nullable(v.strictObject({ hertz: v.picklist([100, 120]), amplitude: notNegative })),
  drift: v.nullable(v.strictObject({ perMinute: finite, uncertainty: notNegative })),
  problems: v.array(
    v.picklist(['dark unsteady', 'dark too bright', 'noisy', 'weak', 'too bright', 'flicker', 'drift']),
  ),
});

const referenceLightSchema = v.strictObject({
  pulses: v.array(
    v.strictObject({
      length: positive,
      count,
      error: finite,
      sd: notNegative,
      within: v.boolean(),
    }),
  ),
  limit: v.strictObject({ seconds: notNegative, share: notNegative }),
  passed: v.boolean(),
});

const irisCheckSchema = v.strictObject({
  mark: name,
  firingsOpen: positiveCount,
  firingsStopped: positiveCount,
  expected: stopsField,
  found: stopsField,
  interval: v.strictObject({ lower: stopsField, upper: stopsField }),
  lightShare: finite,
  outcome: v.picklist([
    'whole opening used',
    'part of the opening used',
    'cannot be decided',
    'not one stop',
  ]),
});

const contactLeadSchema = v.strictObject({
  state: v.picklist(['works', 'never closed', 'always closed', 'bounces']),
  closures: count,
  bounces: count,
  seconds: notNegative,
});

const when = { at: timestamp, stage: v.picklist(STAGES) };

export const checkSchema = v.variant('kind', [
  v.strictObject({ kind: v.literal('light'), ...when, result: lightCheckSchema }),
  v.strictObject({ kind: v.literal('reference light'), ...when, result: referenceLightSchema }),
  v.strictObject({ kind: v.literal('iris'), ...when, result: irisCheckSchema }),
  v.strictObject({ kind: v.literal('contact lead'), ...when, result: contactLeadSchema }),
]) satisfies v.GenericSchema<unknown, Check>;
