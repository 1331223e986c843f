import { shortestTotal } from './detector-bandwidth.ts';
import type { Remark } from './figures.ts';
import { timeText } from './shutter-fraction.ts';

/** One plain sentence, or two, for a remark: what was seen, with its number, and what to do about it. */
export function remarkSentence({ code, value }: Remark): string {
  switch (code) {
    case 'saturated':
      return `The light drives the sensor to the top of its range${at('level', value)}; turn the light down or move it away until some of the range is left, since every time read like this is too long.`;
    case 'weak light':
      return `Only ${whole(value)} steps of light were seen, and 30 are the least; bring more light to the sensor.`;
    case 'no open level':
      return `The blades were never seen standing fully open and no reference is held; the highest light${at('steps', value)} was taken for it, so the time may read too long. Fire a slow speed first, 1/15 s or slower, and this mark again.`;
    case 'reference level used':
      return `This firing shows no full open level of its own, so that the reference held${at('steps', value)} was used. Renew that by a slow firing whenever light or sensor were touched.`;
    case 'low peak':
      return `The light reached only ${percent(value)} of the reference; the blades may not have opened fully, or the light was moved. Fire a slow speed to renew the reference, then look at the blades.`;
    case 'light changed':
      return `The open level is ${signedPercent(value)} against the reference; light, iris or sensor were moved, or the blades no longer reach the same opening. Check the set-up before going on.`;
    case 'truncated start':
      return `The light was already there when the record began${value === undefined ? '' : ` and stayed for ${time(value)}`}, so there is no time; keep the sensor dark before the release.`;
    case 'truncated end':
      return `The record ends before the light has gone${value === undefined ? '' : `, after ${time(value)} of it`}, so there is no time; fire again.`;
    case 'never closed':
      return `The shutter was still open after ${time(value)}; if it was not held open on B or T, look for stuck blades.`;
    case 'detector slow':
      return `The sensor and sampling reach ${kilohertz(value)}, which by ISO 516 suits open times from ${time(value === undefined ? undefined : shortestTotal(value))} up; the effective time stands, but take the shape figures with care.`;
    case 'no shape figures':
      return `With ${whole(value)} steps of light the edges are too coarse for opening, closing and efficiency; 100 steps are the least, so bring more light.`;
    case 'short dark':
      return `Only ${time(value)} of dark lay around the exposure, and 50 ms are wanted; keep the sensor dark a little longer between firings.`;
    case 'rebound':
      return `Light came back after closing, ${percent(value, 1)} of the exposure (${stops(value)}); it is left out of the time. Fire again; if it stays, it suggests that the blades rebound or do not shut.`;
    case 'flicker 100 Hz':
      return flickerSentence(100, value);
    case 'flicker 120 Hz':
      return flickerSentence(120, value);
    case 'glow after closing':
      return `Light stayed on after closing, ${percent(value, 1)} of the open level; shade the set-up from other light, and if it stays, look for a blade that does not shut.`;
    case 'light drifts':
      return `The light changed by ${signedPercent(value)} while the shutter stood open; let the lamp warm up, keep its supply steady and other light away, then fire again.`;
    case 'open time only':
      return `This board times the edges of the light and sends no light curve; only the open time is known, not the effective time, the efficiency or the shape. For those use a board that samples the light.`;
    case 'spoilt':
      return 'Data from the board were lost during this firing, so it is not measured and not counted; fire again.';
  }
}

const flickerSentence = (hertz: number, value: number | undefined) =>
  `The light flickers at ${hertz} Hz with an amplitude of ${percent(value, 1)}, as lamps on ${hertz / 2} Hz mains do; a short time may be wrong by as much. Use a lamp on direct current, and keep room light away.`;

/** A number in passing, left out where it isn't known. */
const at = (unit: 'level' | 'steps', value: number | undefined) =>
  value === undefined ? '' : unit === 'level' ? ` (level ${Math.round(value)})` : ` (${whole(value)} steps)`;

const MISSING = 'an unknown share';

const whole = (value: number | undefined) => (value === undefined ? 'few' : String(Math.floor(value)));

const percent = (value: number | undefined, digits = 0) =>
  value === undefined ? MISSING : `${(100 * value).toFixed(digits)} %`;

function signedPercent(value: number | undefined): string {
  if (value === undefined) return MISSING;
  return `${value < 0 ? '−' : '+'}${(100 * Math.abs(value)).toFixed(1)} %`;
}

const stops = (share: number | undefined) =>
  share === undefined ? MISSING : `+${Math.log2(1 + share).toFixed(2)} EV`;

const kilohertz = (value: number | undefined) =>
  value === undefined ? 'an unknown bandwidth' : `${(value / 1000).toFixed(1)} kHz`;

const time = (value: number | undefined) => (value === undefined ? 'an unknown time' : timeText(value));
