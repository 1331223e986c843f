import * as v from 'valibot';
import {
  count,
  finite,
  name,
  notNegative,
  positive,
  positiveCount,
  text,
  tickField,
  timestamp,
} from './field-schemas.ts';
import { figuresSchema } from './figures-schema.ts';
import type { FiringRow } from './firing-row.ts';
import { STAGES } from './job.ts';
import { assemblySchema, setUpSchema, syncSetting } from './shutter-schema.ts';

const spoiltCause = v.picklist([
  'data damaged',
  'data missing',
  'board overrun',
  'read error',
  'board restarted',
  'disconnected',
  'silence',
]);

const sampledOrTimed = v.strictObject({
  channel: count,
  tickHz: positive,
  firstTick: tickField,
  ticksPerSample: notNegative,
  sampleCount: count,
  fullScale: notNegative,
  contact: v.array(
    v.strictObject({ tick: tickField, closed: v.boolean(), lost: v.exactOptional(positiveCount) }),
  ),
  contactClosedBefore: v.exactOptional(v.literal(true)),
  timed: v.exactOptional(v.strictObject({ open: tickField, close: tickField })),
  truncated: v.picklist(['no', 'start', 'end']),
  spoilt: v.nullable(spoiltCause),
});

/** A board that times edges has neither samples nor a scale; one that samples has both. */
const firingSchema = v.pipe(
  sampledOrTimed,
  v.check(
    ({ timed, ticksPerSample, fullScale }) => timed !== undefined || (ticksPerSample > 0 && fullScale > 0),
    'a sampled firing needs the time between its samples and its full scale',
  ),
);

const boardSchema = v.strictObject({
  board: text,
  serial: text,
  firmware: text,
  image: text,
  protocol: count,
  practice: v.boolean(),
});

const referenceSchema = v.strictObject({
  height: finite,
  uncertainty: finite,
  firstTick: tickField,
  origin: v.picklist(['slow firing', 'light check']),
});

export const clockCorrectionSchema = v.strictObject({
  ppm: v.pipe(
    finite,
    v.check((ppm) => ppm > -1e6, 'must lie above −1,000,000'),
  ),
  uncertainty: notNegative,
  observedSeconds: notNegative,
});

export const firingRowSchema = v.strictObject({
  id: name,
  jobId: name,
  stage: v.picklist(STAGES),
  mark: name,
  ordinal: positiveCount,
  at: timestamp,
  rest: v.nullable(finite),
  board: boardSchema,
  firing: firingSchema,
  figures: figuresSchema,
  assembly: assemblySchema,
  reference: v.nullable(referenceSchema),
  setUp: setUpSchema,
  sync: syncSetting,
  clockCorrection: v.nullable(clockCorrectionSchema),
  exercised: v.boolean(),
  measuringVersion: positiveCount,
  setAside: v.nullable(text),
  movedFrom: v.array(name),
}) satisfies v.GenericSchema<unknown, FiringRow>;
