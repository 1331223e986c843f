/** Verdicts, errors and bands as the user reads them, on the screen and on paper alike. */
import type { Stops } from '../../firmware-protocol/units.ts';
import { stopsToPercent } from './bands.ts';
import type { NotCounted } from './counted-readings.ts';
import type { FarFromMark } from './far-from-mark.ts';
import type { Band, DecisionRule, SpeedStatistics, SpreadVerdict, Verdict } from './verdict.ts';

/** U+2212: as wide as the plus, so that signed figures stand under each other; and read out as 'minus'. */
const MINUS = '−';

/** Stops with a sign: '+0.18', '−0.42', and '0.00' for what rounds to nothing. */
export const signedStops = (error: Stops, digits = 2): string => signed(error, digits);

/** A number with its sign, '+1.2' or '−1.2', and no sign for what rounds to nothing. */
export function signed(value: number, digits: number): string {
  const figure = Math.abs(value).toFixed(digits);
  if (Number(figure) === 0) return figure;
  return `${value < 0 ? MINUS : '+'}${figure}`;
}

/** A size without a sign and its unit: '0.42 stop', '1.00 stop', '1.25 stops'. */
export function sizeInStops(size: Stops): string {
  const figure = Math.abs(size).toFixed(2);
  return `${figure} ${Number(figure) > 1 ? 'stops' : 'stop'}`;
}

/** Two decimals, or as many as a limit has (four at the most): it is printed as it is applied. */
const limitDecimals = (limit: Stops): number =>
  [2, 3].find((digits) => Math.abs(Number(limit.toFixed(digits)) - limit) < 5e-6) ?? 4;

/** A limit as it is applied: '0.40 stop', '0.125 stop', '1.50 stops'. */
export function limitInStops(limit: Stops): string {
  const figure = Math.abs(limit).toFixed(limitDecimals(limit));
  return `${figure} ${Number(figure) > 1 ? 'stops' : 'stop'}`;
}

/** A standard deviation beside its limit, to a thousandth: two decimals would show 0.052 and 0.05 as the same. */
export const spreadInStops = (sd: Stops): string => `${sd.toFixed(3)} ${sd >= 1.0005 ? 'stops' : 'stop'}`;

/**
 * In stops '±1/3 stop', '±0.40 stop', '−0.20 to +0.50 stop'; in percent of the time '±20 %', '−20 to +25 %'.
 * A band that is even in stops is uneven in percent and the other way round.
 */
export function bandWords(band: Band, unit: 'EV' | '%' = 'EV'): string {
  if (unit === '%') return bandInPercent(band);
  const { lower, upper } = band;
  if (lower !== -upper) {
    const signed = (limit: Stops) => signedStops(limit, limitDecimals(limit));
    return `${signed(lower)} to ${signed(upper)} stop`;
  }
  const fraction = [1, 2, 3, 4, 6].find((divisor) => Math.abs(upper * divisor - 1) < 1e-9);
  if (fraction === undefined) return `±${limitInStops(upper)}`;
  return fraction === 1 ? '±1 stop' : `±1/${fraction} stop`;
}

function bandInPercent({ lower, upper }: Band): string {
  const from = signedPercent(lower);
  const to = signedPercent(upper);
  return from === to.replace('+', MINUS) ? `±${to.slice(1)} %` : `${from} to ${to} %`;
}

/** A change of the time: '+25', '−20.6', '0'. To a tenth of a percent, finer than any of these limits is meant. */
function signedPercent(error: Stops): string {
  const percent = stopsToPercent(error);
  const figure = String(Number(Math.abs(percent).toFixed(1)));
  if (figure === '0') return figure;
  return `${percent < 0 ? MINUS : '+'}${figure}`;
}

/**
 * The verdict on one mark: 'within', '0.42 stop slow', 'conditional fail, 0.42 stop slow', '2 of 5 firings',
 * 'did not fire', 'no time to compare' … `firingsNeeded` belongs to 'undecided'.
 */
export function verdictWords(
  verdict: Verdict,
  statistics: Pick<SpeedStatistics, 'n' | 'meanError'>,
  least: number,
  firingsNeeded: number | null = null,
): string {
  const { n, meanError } = statistics;
  const off = (side: 'slow' | 'fast') => (meanError === null ? side : `${sizeInStops(meanError)} ${side}`);
  switch (verdict) {
    case 'slow':
    case 'fast':
      return off(verdict);
    case 'conditional slow':
      return `conditional fail, ${off('slow')}`;
    case 'conditional fast':
      return `conditional fail, ${off('fast')}`;
    case 'undecided':
      return `cannot be decided with this many firings; ${moreFirings(firingsNeeded)}`;
    case 'too few': {
      // A guard band takes two firings, however few the job asks for.
      const wanted = Math.max(least, n + 1);
      return `${n} of ${wanted} ${wanted === 1 ? 'firing' : 'firings'}`;
    }
    case 'no time':
      return 'no time to compare';
    default:
      return verdict;
  }
}

/**
 * What it would take to decide: 'at least about 12 are needed', or that more firings don't help. With just so
 * many only a mean in the middle of its band could pass.
 */
export const moreFirings = (needed: number | null): string =>
  needed === null
    ? 'no number would do, the rest of the uncertainty is too large'
    : `at least about ${needed} are needed`;

const HEADINGS: Readonly<Record<Verdict, string>> = {
  within: 'Within its band',
  slow: 'Slow',
  fast: 'Fast',
  'conditional pass': 'Conditional pass',
  'conditional slow': 'Conditional fail, slow',
  'conditional fast': 'Conditional fail, fast',
  undecided: 'Cannot be decided with this many firings',
  'too few': 'Too few firings to say',
  'did not fire': 'Did not fire',
  'stuck open': 'Stuck open',
  'not tried': 'Not tried',
  'no time': 'No time to compare with',
};

export const verdictHeading = (verdict: Verdict): string => HEADINGS[verdict];

/**
 * Whether the shutter repeats: 'steady', 'erratic', with both figures 'erratic: spread 0.21 stop, limit 0.15
 * stop', …
 */
export function spreadWords(
  spread: SpreadVerdict,
  sd: Stops | null = null,
  limit: Stops | null = null,
): string {
  switch (spread) {
    case 'erratic':
      return sd === null || limit === null
        ? spread
        : `erratic: spread ${spreadInStops(sd)}, limit ${limitInStops(limit)}`;
    case 'too few':
      return 'too few firings to say whether it repeats';
    case 'no limit':
      return 'no limit set for the spread';
    default:
      return spread;
  }
}

const RULES: Readonly<Record<DecisionRule, string>> = {
  simple:
    'Simple acceptance (ILAC-G8:09/2019, guard band w = 0): a mark is within its band when its mean error lies within the limits, the limits included; the uncertainty is stated and not allowed for, so that near a limit up to half of such verdicts may be wrong.',
  'guard band':
    'Guard band w = U (ILAC-G8:09/2019), at each limit by itself: a mark is within its band when its mean error lies inside the limits by at least U, a conditional pass when it lies inside by less, a conditional fail when it lies outside by no more than U, and slow or fast beyond that; a verdict of within, slow or fast is wrong with a risk under 2.5 %, as far as U holds every error; where U takes up more than half of the band, nothing but slow or fast can be decided.',
};

/** One sentence on how the uncertainty enters the verdicts. */
export const ruleWords = (rule: DecisionRule): string => RULES[rule];

/** A probability of 0 to 1 in whole percent: '98 %', and '> 99 %' or '< 1 %' where more would be false precision. */
export function conformityWords(probability: number): string {
  if (probability > 0.99) return '> 99 %';
  if (probability < 0.01) return '< 1 %';
  return `${Math.round(100 * probability)} %`;
}

const NOT_COUNTED: Readonly<Record<NotCounted, string>> = {
  spoilt: 'not counted: data was lost',
  'set aside': 'not counted: set aside',
  'no time': 'not counted: no time could be read',
  'time not valid': 'not counted: the time is not valid',
  'after rest': 'not counted: first after a rest',
};

export const notCountedWords = (reason: NotCounted): string => NOT_COUNTED[reason];

/** The question a firing far from its mark raises; it stays under `label` unless the user moves it. */
export function farFromMarkQuestion(label: string, { error, nearest }: FarFromMark): string {
  const side = error > 0 ? 'slower' : 'faster';
  const there = nearest === null ? '' : `, near ${nearest.label}`;
  return `This firing was ${sizeInStops(error)} ${side} than ${label}${there}. Does the dial stand at ${label}?`;
}
