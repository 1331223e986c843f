import * as v from 'valibot';
import { WORK_KINDS } from '../judge/work-step.ts';
import { count, listById, name, positive, positiveCount, text, timestamp } from './field-schemas.ts';
import { JOB_STATES } from './job.ts';

/**
 * The course of a job. Dates are not required to follow one another: a clock may be set back, and a job must be
 * kept all the same. The order of each list is the order of events.
 */

export const statesSchema = v.pipe(
  v.array(v.strictObject({ state: v.picklist(JOB_STATES), at: timestamp })),
  v.minLength(1, 'a job is always in some state'),
);

export const stepsSchema = listById(
  v.strictObject({
    id: name,
    at: timestamp,
    afterFiring: count,
    kind: v.picklist(WORK_KINDS),
    direction: v.nullable(v.picklist(['in', 'out'])),
    amount: v.nullable(v.strictObject({ value: positive, unit: text })),
    note: text,
  }),
);

export const programmeSchema = v.strictObject({
  id: name,
  name: text,
  steps: v.array(v.strictObject({ mark: name, firings: positiveCount })),
});

export const notesSchema = listById(
  v.strictObject({
    id: name,
    at: timestamp,
    text,
    picture: v.nullable(name),
    onJobSheet: v.boolean(),
  }),
);

export const issuedSchema = v.array(
  v.strictObject({
    kind: v.picklist(['certificate', 'working speeds card', 'job sheet']),
    number: name,
    at: timestamp,
    dataSha256: v.nullable(v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, 'must be 64 hex digits'))),
  }),
);
