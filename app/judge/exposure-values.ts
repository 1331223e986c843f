/** Exposure values of light and of exposure settings, after ISO 2720 and APEX. */
import { type Stops, stops } from '../../firmware-protocol/units.ts';

/** What a meter of this kind is calibrated to unless its maker says otherwise (common, within the ranges below). */
export const USUAL_CONSTANT = { K: 12.5, C: 250 } as const;

/** Recommended by ISO 2720; C: flat receptors from 240 to 400, domed ones up to 540 (the ranges of C from memory). */
export const CONSTANT_RANGE = { K: { from: 10.6, to: 13.4 }, C: { from: 240, to: 540 } } as const;

/**
 * The exposure value that light asks for at a film speed: EV = log2(light · S / constant). With K the light is a
 * luminance in cd/m², with C an illuminance in lx.
 *
 * @throws RangeError unless all three are finite and above zero.
 */
export function exposureValueOfLight(light: number, iso: number, constant: number): Stops {
  needPositive('strength of the light', light);
  needPositive('film speed', iso);
  needPositive('constant of the meter', constant);
  return stops(Math.log2((light * iso) / constant));
}

/**
 * Full steps as they are engraved; each stands for a whole APEX value, f/1 for Av 0 and 1 s for Tv 0 (Exif, annex on
 * APEX; ISO 516 for the times).
 */
const FULL_APERTURES = [1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32, 45, 64];
const FULL_DENOMINATORS = [1, 2, 4, 8, 15, 30, 60, 125, 250, 500, 1000, 2000, 4000, 8000];
const FULL_TIMES = new Map<number, number>([
  ...FULL_DENOMINATORS.map((denominator, tv): [number, number] => [1 / denominator, tv]),
  [2, -1],
  [4, -2],
  [8, -3],
  [15, -4],
  [30, -5],
]);

/** So near to an engraved value a number is that value as somebody wrote it down (1/60 as 0.0167). */
const SAME = 0.005;
const isWritten = (value: number, engraved: number) => Math.abs(value / engraved - 1) < SAME;

/**
 * The exposure value of a setting, Av + Tv = 2·log2(N) − log2(t). f-number and time are taken as engraved: full
 * steps stand for their exact values (f/5.6 for 2^2.5, 1/60 for 1/64 s), since the rings are laid out in whole
 * stops and published tables add them so; whatever lies between is taken as it is written, which is within
 * 0.1 stop of what a third or a half of a stop engraved so would stand for.
 *
 * @throws RangeError unless both are finite and above zero.
 */
export function exposureValueOfSetting(fNumber: number, time: number): Stops {
  needPositive('f-number', fNumber);
  needPositive('time', time);
  const fullAperture = FULL_APERTURES.findIndex((engraved) => isWritten(fNumber, engraved));
  const av = fullAperture >= 0 ? fullAperture : 2 * Math.log2(fNumber);
  const fullTime = [...FULL_TIMES].find(([engraved]) => isWritten(time, engraved));
  const tv = fullTime?.[1] ?? -Math.log2(time);
  return stops(av + tv);
}

function needPositive(name: string, value: number): void {
  if (value > 0 && Number.isFinite(value)) return;
  throw new RangeError(`The ${name} must be a number above zero, not ${value}.`);
}
