/** From a bare light curve to its figures. */
import { seconds } from '../../firmware-protocol/units.ts';
import { contactLight } from './contact-light.ts';
import { availableBandwidth, requiredBandwidth } from './detector-bandwidth.ts';
import {
  closingEdge,
  crossing,
  type Edge,
  fitWidth,
  halfHeight,
  lightGone,
  openingEdge,
  tenthHeight,
} from './edge-instants.ts';
import { type Figures, type Instants, type Levels, NO_FIGURES, type Remark } from './figures.ts';
import { type ContactRecord, contactFigures, NO_CONTACT_LIGHT } from './flash-contact.ts';
import { DARK_BLOCK_SECONDS, type DarkLevel, darkLevel, findPlateau } from './levels.ts';
import { LightCurve } from './light-curve.ts';
import { lightUnrest } from './light-unrest.ts';
import { type ExposureSpan, locateExposure } from './locate-exposure.ts';
import { type HeldReference, openLevel } from './open-level.ts';
import { findRebound } from './rebound.ts';
import { stoppedDown } from './stopped-down.ts';

/** A light curve on its own. Samples are codes, whole or not, from 0 to fullScale (at most 255). */
export interface CurveRecord {
  readonly samples: ArrayLike<number>;
  readonly secondsPerSample: number;
  readonly fullScale: number;
  /** Edges of the flash contact, if there are any to look for. */
  readonly contact?: ContactRecord;
}

export interface CurveConditions {
  readonly reference: HeldReference | null;
  /** Analogue bandwidth of sensor, amplifier and converter in Hz, if known; the sampling rate bounds it anyway. */
  readonly bandwidthHz?: number | null | undefined;
}

const WEAK_STEPS = 30;
const SHAPE_STEPS = 100;
const LEAST_THRESHOLD = 0.01;
/** Window of the integral, outward from each edge, as a share of the edge's duration. */
const WINDOW_SHARE = 0.25;
/** Nearer to first light than this, a shutter that stays open is not yet asked whether its light is steady. */
const OPENING_SECONDS = 0.005;

/**
 * Figures of one curve; see measureFiring, which knows board and clock. Never throws: a figure that can't be
 * had is null and a remark says why.
 */
export function measureCurve(record: CurveRecord, conditions: CurveConditions): Figures {
  const figures = lightFigures(record, conditions);
  if (record.contact === undefined || figures.contact !== null) return figures;
  return { ...figures, contact: contactFigures(record.contact, NO_CONTACT_LIGHT) };
}

function lightFigures(record: CurveRecord, conditions: CurveConditions): Figures {
  const { secondsPerSample } = record;
  const curve = new LightCurve(record.samples);
  const span = locateExposure(curve, secondsPerSample);
  if (span === null) return { ...NO_FIGURES, remarks: [{ code: 'weak light', value: 0 }] };

  const dark = darkLevel(curve, span, secondsPerSample);
  const plateau = findPlateau(curve, span, dark.noise, secondsPerSample);
  const { levels, remarks } = openLevel(curve, span, dark, plateau, conditions.reference, secondsPerSample);
  const height = levels.open - levels.dark;
  const said: Remark[] = [...remarks];
  if (isSaturated(record, span)) said.push({ code: 'saturated', value: levels.open });
  if (height < WEAK_STEPS) said.push({ code: 'weak light', value: height });
  if (dark.samples * secondsPerSample < DARK_BLOCK_SECONDS * 0.99) {
    said.push({ code: 'short dark', value: dark.samples * secondsPerSample });
  }
  if (span.started) said.push({ code: 'truncated start', value: span.to * secondsPerSample });
  if (span.open) said.push({ code: 'never closed', value: (curve.length - span.from) * secondsPerSample });
  if (span.started || span.open || !(height > 0)) {
    const from = span.up + OPENING_SECONDS / secondsPerSample;
    const stretch = { from, to: curve.length, height, noise: levels.noise };
    const unrest = span.open && height > 0 ? lightUnrest(curve, stretch, secondsPerSample) : [];
    return { ...NO_FIGURES, levels, remarks: [...said, ...unrest] };
  }
  return timeFigures(curve, span, dark, levels, record, conditions, said);
}

/** A clipped level shows as samples at full scale: a few by chance on short tops, one in a hundred on long ones. */
function isSaturated({ samples, fullScale }: CurveRecord, { dark, peak, up, down }: ExposureSpan): boolean {
  if (dark + peak < 0.9 * fullScale) return false;
  let full = 0;
  for (let i = up; i <= down; i++) if (samples[i]! >= fullScale) full++;
  return full >= Math.max(2, 0.01 * (down - up));
}

function timeFigures(
  curve: LightCurve,
  span: ExposureSpan,
  dark: DarkLevel,
  levels: Levels,
  { secondsPerSample, contact }: CurveRecord,
  conditions: CurveConditions,
  remarks: Remark[],
): Figures {
  const time = (samples: number) => seconds(samples * secondsPerSample);
  const { noise } = levels;
  const height = levels.open - levels.dark;
  const at = (fraction: number) => levels.dark + fraction * height;
  // The edges' sizes are taken from the light seen, which under a reference may stop short of its level.
  const seen = Math.min(span.dark + span.peak - levels.dark, height);
  const opening = fitWidth(openingEdge(curve, span), levels.dark, seen);
  const closing = fitWidth(closingEdge(curve, span), levels.dark, seen);

  const threshold = Math.max(LEAST_THRESHOLD, (4 * noise) / height);
  const rise = Math.max(0.03 * height, 5 * noise);
  const first = lightGone(opening, at(threshold), Number.NEGATIVE_INFINITY, rise);
  const last = lightGone(closing, at(threshold) + dark.glow, at(0.2), rise);
  if (first === null || last === null) {
    const code = first === null ? 'truncated start' : 'truncated end';
    const value = (span.to - span.from) * secondsPerSample;
    return { ...NO_FIGURES, levels, remarks: [...remarks, { code, value }] };
  }
  const firstLight = first.at;
  const lastLight = last.at;

  // Where the curve never comes up to the open level, its highest point stands for it.
  const full = fullyOpenBetween(opening, closing, at(1 - threshold));
  const from = firstLight - WINDOW_SHARE * (full.from - firstLight);
  const to = last.bounced ? lastLight : lastLight + WINDOW_SHARE * (lastLight - full.to);
  const effective = (curve.integral(from, to, levels.dark) / height) * secondsPerSample;
  const rebound = findRebound(curve, to, lastLight, levels.dark, height, noise, secondsPerSample);
  if (rebound !== null) remarks.push({ code: 'rebound', value: rebound.effective / effective });
  if (dark.glow > 0) remarks.push({ code: 'glow after closing', value: dark.glow / height });

  const rises = tenToNinety(opening, at);
  const falls = tenToNinety(closing, at);
  const halfOpen = halfHeight(opening, at(0.5), rises.rough);
  const halfClosed = halfHeight(closing, at(0.5), falls.rough);
  // A 10 to 90 % duration inward from half light, straight and t² edges have come to their end.
  const inside = {
    from: (halfOpen ?? opening.start) + rises.rough,
    to: (halfClosed ?? closing.start) - falls.rough,
  };
  remarks.push(...lightUnrest(curve, { ...inside, height, noise }, secondsPerSample));
  const instants: Instants | null =
    halfOpen === null || halfClosed === null
      ? null
      : {
          firstLight: time(firstLight),
          halfOpen: time(halfOpen),
          fullOpen: time(full.from),
          closingStart: time(full.to),
          halfClosed: time(halfClosed),
          lastLight: time(lastLight),
        };
  const light = contactLight(
    { opening, rise: rises.rough },
    { closing, fall: falls.rough },
    levels,
    secondsPerSample,
  );
  const figures: Figures = {
    ...NO_FIGURES,
    levels,
    effective: seconds(effective),
    effectiveWithRebound: seconds(effective + (rebound?.effective ?? 0)),
    halfHeight: halfOpen === null || halfClosed === null ? null : time(halfClosed - halfOpen),
    threshold,
    rebound,
    instants,
    contact: contact ? contactFigures(contact, light) : null,
    remarks,
  };
  if (height < SHAPE_STEPS) {
    remarks.push({ code: 'no shape figures', value: height });
    return figures;
  }

  const total = (lastLight - firstLight) * secondsPerSample;
  const bandwidth = availableBandwidth(secondsPerSample, conditions.bandwidthHz ?? Number.POSITIVE_INFINITY);
  if (requiredBandwidth(total) > bandwidth) remarks.push({ code: 'detector slow', value: bandwidth });
  const nearlyFull = [crossing(opening, at(0.95)), crossing(closing, at(0.95))] as const;
  return {
    ...figures,
    total: seconds(total),
    efficiency: effective / total,
    opening: rises.exact === null ? null : time(rises.exact),
    closing: falls.exact === null ? null : time(falls.exact),
    openingFull: full.reached ? time(full.from - firstLight) : null,
    closingFull: full.reached ? time(lastLight - full.to) : null,
    stoppedDown:
      levels.openOrigin === 'peak'
        ? null
        : stoppedDown({ from, to, opening, closing }, levels.dark, height, secondsPerSample),
    fullyOpen: nearlyFull[0] === null || nearlyFull[1] === null ? null : time(nearlyFull[1] - nearlyFull[0]),
  };
}

function fullyOpenBetween(opening: Edge, closing: Edge, level: number) {
  const from = crossing(opening, level);
  const to = crossing(closing, level);
  if (from !== null && to !== null && to >= from) return { from, to, reached: true };
  const { curve, width } = opening;
  let top = opening.start;
  for (let i = opening.start; i <= closing.start; i++) {
    if (curve.smoothed(i, width) > curve.smoothed(top, width)) top = i;
  }
  return { from: top, to: top, reached: false };
}

/** 10 to 90 % duration of an edge in samples: from crossings of the running mean, and by local fits. */
function tenToNinety(edge: Edge, at: (fraction: number) => number) {
  const outer = crossing(edge, at(0.1));
  const inner = crossing(edge, at(0.9));
  if (outer === null || inner === null) return { rough: 0, exact: null };
  const rough = Math.abs(inner - outer);
  const ten = tenthHeight(edge, at(0.1), rough);
  const ninety = tenthHeight(edge, at(0.9), rough);
  return { rough, exact: ten === null || ninety === null ? null : Math.abs(ninety - ten) };
}
