import * as v from 'valibot';
import { checkSchema } from './check-schema.ts';
import {
  finite,
  name,
  positiveCount,
  secondsField,
  share,
  stopsField,
  text,
  timestamp,
} from './field-schemas.ts';
import type { Job, Workshop } from './job.ts';

const positiveSeconds = v.pipe(
  secondsField,
  v.check((time) => time > 0, 'must be above zero'),
);

const markSchema = v.strictObject({
  label: name,
  marked: v.nullable(positiveSeconds),
  exact: v.nullable(positiveSeconds),
});

const seriesSchema = v.strictObject({
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

const positiveStops = v.pipe(
  stopsField,
  v.check((limit) => limit > 0, 'must be above zero'),
);

const bandSchema = v.pipe(
  v.strictObject({ lower: stopsField, upper: stopsField }),
  v.check(({ lower, upper }) => lower < upper, 'the lower limit must lie below the upper one'),
);

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
  note: text,
});

const stageSchema = v.strictObject({
  assembly: assemblySchema,
  setUp: setUpSchema,
  outcomes: v.record(name, v.picklist(['did not fire', 'stuck open', 'not tried'])),
});

const profileSchema = v.strictObject({
  governed: v.array(name),
  pallet: v.array(name),
  booster: v.array(name),
  fromCentre: v.boolean(),
});

const serialised = { bodySerial: text, shutterSerial: text, lensSerial: text };

export const jobSchema = v.pipe(
  v.strictObject({
    id: name,
    number: name,
    received: timestamp,
    customer: v.strictObject({ name: text, contact: text }),
    camera: v.strictObject({ description: text, shutter: text, lens: text, ...serialised }),
    complaint: text,
    series: seriesSchema,
    referenceRule: v.picklist(['marked', 'exact']),
    band: bandSchema,
    bands: v.record(name, bandSchema),
    bandUnit: v.picklist(['EV', '%']),
    decisionRule: v.picklist(['simple', 'guard band']),
    spreadLimit: v.nullable(positiveStops),
    profile: profileSchema,
    checks: v.array(checkSchema),
    leastFirings: v.strictObject({ 'as found': positiveCount, 'as left': positiveCount }),
    stages: v.strictObject({ 'as found': stageSchema, 'as left': stageSchema }),
    invented: v.boolean(),
  }),
  v.check(
    (job) => namesOnlyItsMarks(job),
    'a band, an outcome or the profile belongs to a mark that is not in the series',
  ),
) satisfies v.GenericSchema<unknown, Job>;

function namesOnlyItsMarks(job: Job): boolean {
  const labels = new Set(job.series.speeds.map(({ label }) => label));
  const { governed, pallet, booster } = job.profile;
  const named = [job.bands, job.stages['as found'].outcomes, job.stages['as left'].outcomes];
  return [...named.flatMap(Object.keys), ...governed, ...pallet, ...booster].every((label) =>
    labels.has(label),
  );
}

export const openJobSchema = v.strictObject({ id: name });

export const workshopSchema = v.strictObject({
  name: text,
  address: text,
  signatory: text,
}) satisfies v.GenericSchema<unknown, Workshop>;
