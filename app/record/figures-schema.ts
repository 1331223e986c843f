import * as v from 'valibot';
import type { Figures } from '../measure/figures.ts';
import { count, finite, secondsField } from './field-schemas.ts';

const time = v.nullable(secondsField);

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

const contactSchema = v.strictObject({
  closed: time,
  closedBefore: v.boolean(),
  bounces: count,
  bounceTime: secondsField,
  parted: time,
  closedTime: secondsField,
  lost: count,
  openAtClosure: v.nullable(finite),
  open80: time,
  open90: time,
  closing90: time,
});

export const figuresSchema = v.strictObject({
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
  contact: v.nullable(contactSchema),
  remarks: v.array(v.strictObject({ code: remarkCode, value: v.exactOptional(finite) })),
}) satisfies v.GenericSchema<unknown, Figures>;
