import * as v from 'valibot';
import { mechanicsSchema, meterSchema, selfTimerSchema } from './camera-check-schema.ts';
import { checkSchema } from './check-schema.ts';
import {
  count,
  name,
  positiveCount,
  positiveSeconds,
  positiveStops,
  text,
  timestamp,
} from './field-schemas.ts';
import { JOB_STATES, type Job, STAGES } from './job.ts';
import type { JobSummary } from './job-summary.ts';
import {
  assemblySchema,
  bandSchema,
  bandUnit,
  decisionRule,
  profileSchema,
  referenceRule,
  seriesSchema,
  setUpSchema,
  syncSetting,
} from './shutter-schema.ts';
import { issuedSchema, notesSchema, programmeSchema, statesSchema, stepsSchema } from './work-schema.ts';

const stageSchema = v.strictObject({
  assembly: assemblySchema,
  setUp: setUpSchema,
  outcomes: v.record(name, v.picklist(['did not fire', 'stuck open', 'not tried'])),
  sync: syncSetting,
  skipped: v.array(count),
});

export const leastFiringsSchema = v.strictObject({
  'as found': positiveCount,
  trials: positiveCount,
  'after rest': positiveCount,
  'as left': positiveCount,
});

const cameraSchema = v.strictObject({
  description: text,
  bodySerial: text,
  shutter: text,
  shutterSerial: text,
  lens: text,
  lensSerial: text,
});

export const jobSchema = v.pipe(
  v.strictObject({
    id: name,
    number: name,
    received: timestamp,
    states: statesSchema,
    removed: v.nullable(timestamp),
    customer: v.strictObject({ name: text, contact: text }),
    camera: cameraSchema,
    complaint: text,
    series: seriesSchema,
    referenceRule,
    band: bandSchema,
    bands: v.record(name, bandSchema),
    bandUnit,
    decisionRule,
    spreadLimit: v.nullable(positiveStops),
    profile: profileSchema,
    checks: v.array(checkSchema),
    leastFirings: leastFiringsSchema,
    stages: v.strictObject({
      'as found': stageSchema,
      trials: stageSchema,
      'after rest': stageSchema,
      'as left': stageSchema,
    }),
    steps: stepsSchema,
    work: v.strictObject({ done: text, parts: text, lubricants: text, remarks: text }),
    programme: v.nullable(programmeSchema),
    flashDuration: positiveSeconds,
    selfTimer: selfTimerSchema,
    meter: v.nullable(meterSchema),
    mechanics: mechanicsSchema,
    notes: notesSchema,
    issued: issuedSchema,
    invented: v.boolean(),
  }),
  v.check(
    (job) => namesOnlyItsMarks(job),
    'a band, an outcome, the programme or the profile belongs to a mark that is not in the series',
  ),
) satisfies v.GenericSchema<unknown, Job>;

function namesOnlyItsMarks(job: Job): boolean {
  const labels = new Set(job.series.speeds.map(({ label }) => label));
  const { governed, pallet, booster } = job.profile;
  const named = [job.bands, ...STAGES.map((stage) => job.stages[stage].outcomes)];
  const programmed = job.programme?.steps.map(({ mark }) => mark) ?? [];
  return [...named.flatMap(Object.keys), ...governed, ...pallet, ...booster, ...programmed].every((label) =>
    labels.has(label),
  );
}

export const jobSummarySchema = v.strictObject({
  id: name,
  number: name,
  received: timestamp,
  state: v.picklist(JOB_STATES),
  since: timestamp,
  customer: text,
  camera: cameraSchema,
  complaint: text,
  invented: v.boolean(),
  removed: v.nullable(timestamp),
}) satisfies v.GenericSchema<unknown, JobSummary>;
