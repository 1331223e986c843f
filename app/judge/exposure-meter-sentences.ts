/** The exposure meter's test in words, on the screen and on paper alike. */
import type { Stops } from '../../firmware-protocol/units.ts';
import { METER_LIMITS, type MeterAdvice, type MeterResult, type MeterSlope } from './exposure-meter.ts';
import { CONSTANT_RANGE, USUAL_CONSTANT } from './exposure-values.ts';
import { countText } from './findings/wording.ts';
import type { MeterTest } from './meter-test.ts';
import { thirdsInStops } from './thirds.ts';
import { limitInStops, signedStops, sizeInStops } from './verdict-words.ts';

const ADVICE: Readonly<Record<MeterAdvice, string>> = {
  usable: 'Usable',
  'usable with correction': 'Usable with correction',
  'not to be relied on': 'Not to be relied on',
  'too few points': 'Too few points to say',
  'light not known well enough': 'Cannot be said: the light is not known well enough',
};

export const meterAdviceHeading = (advice: MeterAdvice): string => ADVICE[advice];

/** 'too high by 0.42 stop: film gets too little light', or 'right'. */
export function meterErrorWords(error: Stops): string {
  if (Number(error.toFixed(2)) === 0) return 'right';
  return error > 0
    ? `too high by ${sizeInStops(error)}: film gets too little light`
    : `too low by ${sizeInStops(error)}: film gets too much light`;
}

/** What the points say, what may be done about it, and how far it holds. Empty for a test without points. */
export function meterSentences(test: MeterTest, result: MeterResult): readonly string[] {
  if (result.mean === null) return [];
  return [
    adviceSentence(result),
    meanSentence(result),
    ...(result.slope === null ? [] : [slopeSentence(result.slope)]),
    lightSentence(test, result),
    ...constantSentences(test),
    ...cellSentences(test),
  ];
}

function adviceSentence(result: MeterResult): string {
  const { advice, correctionThirds, range, doubtful } = result;
  const covered = range === null ? '' : `between EV ${ev(range.lower)} and EV ${ev(range.upper)}`;
  const limit = limitInStops(METER_LIMITS.error);
  const doubt = doubtful ? ' The uncertainty of the light could have turned this.' : '';
  switch (advice) {
    case 'usable':
      return `Usable ${covered}: every point is within ±${limit} (our own limit). Outside these points nothing was read and nothing is said.${doubt}`;
    case 'usable with correction':
      return `Usable with correction ${covered}: ${correctionWords(correctionThirds)}. That brings every point within ±${limit} (our own limit). Outside these points nothing was read, and the correction need not hold there.${doubt}`;
    case 'not to be relied on':
      return `Not to be relied on: no one correction of up to ${limitInStops(METER_LIMITS.correction)} brings every point within ±${limit} (our own limits). The points are given as they were read.${doubt}`;
    case 'too few points':
      return `Too few points to say: it takes ${countText(METER_LIMITS.points, 'point')} or more, over at least ${limitInStops(METER_LIMITS.span)} of light (our own limits).`;
    case 'light not known well enough':
      return `Cannot be said: the light itself is not known to within ${limit}.`;
  }
}

/** `thirds` is added to the value read. More exposure is a lower value. */
function correctionWords(thirds: number): string {
  const size = thirdsInStops(thirds);
  return thirds < 0
    ? `give ${size} more exposure than it says, by aperture, time or a lower film speed on its scale`
    : `give ${size} less exposure than it says, by aperture, time or a higher film speed on its scale`;
}

function meanSentence({ mean, meanInterval, spread, points }: MeterResult): string {
  const words = `On average it reads ${meterErrorWords(mean!)}`;
  if (meanInterval === null || spread === null) return `${words} (one point).`;
  return `${words} (95 %: ${signedStops(meanInterval.lower)} to ${signedStops(meanInterval.upper)} EV; spread of the ${countText(points.length, 'point')} ${spread.toFixed(2)} EV).`;
}

function slopeSentence({ value, interval }: MeterSlope): string {
  const figures = `${value.toFixed(2)} EV for each EV of light (95 %: ${number(interval.lower)} to ${number(interval.upper)})`;
  if (interval.lower <= 1 && interval.upper >= 1) {
    return `From dim to bright it rises by ${figures}: no departure from 1 is shown.`;
  }
  const side = value < 1 ? 'too little' : 'too much';
  if (Math.abs(value - 1) < METER_LIMITS.slope)
    return `From dim to bright it rises by ${figures}: a little ${side}, of no account over the range read.`;
  return `From dim to bright it rises by ${side}, ${figures}: its error depends on the light, so that a correction taken at one brightness need not hold at another.`;
}

function lightSentence(test: MeterTest, { meanInterval }: MeterResult): string {
  const { words, uncertainty } = test.source;
  const from = words.trim() === '' ? 'The source of the light is not stated' : `Light: ${words.trim()}`;
  if (uncertainty === null) {
    return `${from}; its uncertainty is not stated and is in none of these figures: the errors hold only as far as the light is known.`;
  }
  const carried =
    meanInterval === null ? '' : '; it is in the interval of the mean, as the same error at all points';
  return `${from}, known to ±${uncertainty.toFixed(2)} EV (about 95 %)${carried}.`;
}

function constantSentences({ constant: { kind, value } }: MeterTest): readonly string[] {
  const { from, to } = CONSTANT_RANGE[kind];
  if (value >= from && value <= to) return [];
  const usual = USUAL_CONSTANT[kind];
  const shift = signedStops(Math.log2(usual / value) as Stops);
  return [
    `${kind} = ${value} lies outside ${from} to ${to}, the range that ISO 2720 recommends: make sure that the maker states it. Against the usual ${usual} it moves every expected value by ${shift} EV.`,
  ];
}

/** Volts. A mercury cell gives 1.35, an alkaline cell 1.5, a silver oxide cell 1.55. */
const MERCURY = 1.35;
const ALKALINE = 1.5;
const NEAR = 0.05;

function cellSentences({ cell, battery }: MeterTest): readonly string[] {
  switch (cell) {
    case 'selenium':
      return [
        'A selenium cell reads low as it ages, and not always evenly over the scale: rely on the points alone, and on nothing between or beyond them that the readings don’t bear out.',
      ];
    case 'CdS':
      return [batterySentence(battery)];
    default:
      return [];
  }
}

function batterySentence(battery: number | null): string {
  if (battery === null) {
    return 'The battery’s voltage is not stated: a CdS meter made for a mercury cell (1.35 V) may read otherwise with 1.5 V.';
  }
  if (Math.abs(battery - MERCURY) <= NEAR) {
    return `Read with ${battery} V, as a mercury cell gives: with a cell of 1.5 V it may read otherwise, commonly too high, unless its circuit balances the voltage out.`;
  }
  if (battery >= ALKALINE - NEAR && battery <= ALKALINE + 2 * NEAR) {
    return `Read with ${battery} V: if the meter was made for a mercury cell (1.35 V), part of its error may come from the battery, unless its circuit balances the voltage out. It holds for this kind of battery only.`;
  }
  return `Read with ${battery} V: compare that with what the maker states, since a CdS meter may follow its battery.`;
}

/** What to take care of with this cell, before the meter is opened. */
export function meterCautions({ cell }: Pick<MeterTest, 'cell'>): readonly string[] {
  switch (cell) {
    case 'selenium':
      return [
        'Selenium is poisonous: don’t scrape, grind or break the cell, keep its dust and flakes off the skin and out of the air, wash your hands, and hand a broken one in by your local rules for hazardous waste.',
      ];
    case 'CdS':
      return [
        'A mercury cell that leaks is poisonous: gloves and fresh air, don’t heat or open it, and hand it in by your local rules, never with the household’s waste. Cadmium in the cell itself is poisonous too: don’t break it.',
      ];
    default:
      return [];
  }
}

const ev = (value: number) => number(value, 1);
const number = (value: number, digits = 2) => value.toFixed(digits).replace('-', '−');
