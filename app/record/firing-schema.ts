import * as v from 'valibot';
import {
  count,
  finite,
  name,
  notNegative,
  positive,
  positiveCount,
  secondsField,
  text,
  tickField,
  timestamp,
} from './field-schemas.ts';
import type { FiringRow } from './firing-row.ts';
import { STAGES } from './job.ts';
import { assemblySchema, setUpSchema } from './job-schema.ts';

const time = v.nullable(secondsField);

const spoiltCause = v.picklist([
  'data damaged',
  'data missing',
  'board overrun',
  'read error',
  'board restarted',
  'disconnected',
  'silence',
]);

const remarkCode = v.picklist([
  'saturated',
  'weak light',
  'no open level',
  'reference level used',
  'low peak',
  'light changed',
  'truncated start',
  'truncated end',
  'never closed',
  'detector slow',
  'no shape figures',
  'short dark',
  'rebound',
  'glow after closing',
  'flicker 100 Hz',
  'flicker 120 Hz',
  'light drifts',
  'open time only',
  'spoilt',
]);

const levelsSchema = v.strictObject({
  dark: finite,
  noise: finite,
  darkSamples: count,
  open: finite,
  openOrigin: v.picklist(['plateau', 'plateau and reference', 'reference', 'peak']),
  openUncertainty: finite,
});

const instantsSchema = v.strictObject({
  firstLight: secondsField,
  halfOpen: secondsField,
  fullOpen: secondsField,
  closingStart: secondsField,
  halfClosed: secondsField,
  lastLight: secondsField,
});

const figuresSchema = v.strictObject({
  levels: v.nullable(levelsSchema),
  effective: time,
  effectiveWithRebound: time,
  halfHeight: time,
  total: time,
  threshold: v.nullable(finite),
  efficiency: v.nullable(finite),
  opening: time,
  closing: time,
  openingFull: time,
  closingFull: time,
  fullyOpen: time,
  stoppedDown: v.nullable(v.array(secondsField)),
  rebound: v.nullable(v.strictObject({ effective: secondsField, peak: finite, delay: secondsField })),
  instants: v.nullable(instantsSchema),
  remarks: v.array(v.strictObject({ code: remarkCode, value: v.exactOptional(finite) })),
});

const sampledOrTimed = v.strictObject({
  channel: count,
  tickHz: positive,
  firstTick: tickField,
  ticksPerSample: notNegative,
  sampleCount: count,
  fullScale: notNegative,
  contact: v.array(v.strictObject({ tick: tickField, closed: v.boolean() })),
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

const clockCorrectionSchema = v.strictObject({
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
  clockCorrection: v.nullable(clockCorrectionSchema),
  exercised: v.boolean(),
  measuringVersion: positiveCount,
  setAside: v.nullable(text),
  movedFrom: v.array(name),
}) satisfies v.GenericSchema<unknown, FiringRow>;
