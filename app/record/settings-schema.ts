import * as v from 'valibot';
import {
  count,
  listById,
  name,
  positiveCount,
  positiveSeconds,
  positiveStops,
  text,
  timestamp,
} from './field-schemas.ts';
import { clockCorrectionSchema } from './firing-schema.ts';
import type { Workshop } from './job.ts';
import { leastFiringsSchema } from './job-schema.ts';
import { logoSchema } from './picture-schema.ts';
import { BOUND_ACTIONS, type KnownBoard, type Preferences } from './preferences.ts';
import { bandSchema, bandUnit, decisionRule, referenceRule, seriesSchema } from './shutter-schema.ts';
import { programmeSchema } from './work-schema.ts';

/** What belongs to the workshop and not to a job. */

export const openJobSchema = v.strictObject({ id: name });

export const workshopSchema = v.strictObject({
  name: text,
  address: text,
  signatory: text,
  logo: v.nullable(logoSchema),
}) satisfies v.GenericSchema<unknown, Workshop>;

const volume = v.pipe(v.number(), v.finite(), v.minValue(0), v.maxValue(1));

export const preferencesSchema = v.strictObject({
  papers: v.strictObject({
    title: v.picklist(['certificate', 'test report']),
    size: v.picklist(['A4', 'Letter']),
    dates: v.picklist(['day month year', 'month day, year', 'year-month-day']),
  }),
  defaults: v.strictObject({
    seriesId: name,
    referenceRule,
    band: bandSchema,
    bandUnit,
    decisionRule,
    spreadLimit: v.nullable(positiveStops),
    leastFirings: leastFiringsSchema,
    flashDuration: positiveSeconds,
    programmeId: v.nullable(name),
    checkListId: v.nullable(name),
  }),
  series: listById(seriesSchema),
  programmes: listById(programmeSchema),
  checkLists: listById(v.strictObject({ id: name, name: text, items: v.array(text) })),
  tones: v.strictObject({ on: v.boolean(), volume }),
  voice: v.strictObject({ on: v.boolean(), volume, voice: v.nullable(name) }),
  keys: v.pipe(
    v.record(v.picklist(BOUND_ACTIONS), name),
    v.check(
      (keys) => new Set(Object.values(keys)).size === Object.keys(keys).length,
      'one key must not do two things',
    ),
  ),
  backUp: v.strictObject({ everyDays: v.nullable(positiveCount), last: v.nullable(timestamp) }),
}) satisfies v.GenericSchema<unknown, Preferences>;

export const knownBoardSchema = v.strictObject({
  serial: text,
  board: text,
  firmware: text,
  image: text,
  lastSeen: timestamp,
  clock: v.nullable(v.strictObject({ at: timestamp, correction: clockCorrectionSchema })),
  lightCheck: v.nullable(v.strictObject({ at: timestamp, problems: count })),
  referenceLight: v.nullable(v.strictObject({ at: timestamp, passed: v.boolean() })),
}) satisfies v.GenericSchema<unknown, KnownBoard>;
