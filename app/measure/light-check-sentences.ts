import {
  LARGEST_DRIFT,
  LARGEST_FLICKER,
  LARGEST_NOISE,
  LEAST_HEADROOM,
  LEAST_HEIGHT,
} from './light-check.ts';
import type { LightCheckResult, LightProblem } from './light-check-result.ts';

/** Steps under which the shutter was not open at all, or the lamp not on. */
const NO_LIGHT = 5;

/** One plain sentence, or two, for a problem: what was seen, with its number, and what to change. */
export function lightProblemSentence(problem: LightProblem, result: LightCheckResult): string {
  const { dark, noise, height, headroom, flicker, drift } = result;
  switch (problem) {
    case 'dark unsteady':
      return `The dark level moved by more than one step about its mean of ${dark.toFixed(1)}; cover the bench against other light and let nobody move in front of it.`;
    case 'dark too bright':
      return `The dark stands at ${dark.toFixed(0)} steps, which takes away range and drifts with the room; cover the bench, or look whether the shutter is closed.`;
    case 'noisy':
      return `The noise is ${noise.toFixed(1)} steps, ${percent(noise / Math.max(height, LEAST_HEIGHT), 1)} of the light, and ${percent(LARGEST_NOISE, 1)} is the most that gives good first and last light; bring more light, shorten and screen the sensor's lead, keep mains leads away.`;
    case 'weak':
      return height < NO_LIGHT
        ? 'No light came; hold the shutter open, look whether the lamp is on, and check again.'
        : `The open light stands only ${height.toFixed(0)} steps above dark, and ${LEAST_HEIGHT} are needed for the shape figures; move the lamp nearer, or raise the sensor's gain.`;
    case 'too bright':
      return headroom < LEAST_HEADROOM
        ? `The open light leaves ${percent(headroom, 1)} of the range, and ${percent(LEAST_HEADROOM)} is the least; move the lamp away or turn it down, since clipped light reads too long.`
        : 'The light reaches the top of the range now and then; move the lamp away or turn it down, since clipped light reads too long.';
    case 'flicker':
      return `The light flickers at ${flicker?.hertz ?? '100 or 120'} Hz by ±${percent(flicker?.amplitude ?? 0, 1)}, and ±${percent(LARGEST_FLICKER)} is the most; use a lamp or LED on direct current, and keep room lamps off the sensor.`;
    case 'drift':
      return `The light changes by ${signedPercent(drift?.perMinute ?? 0, 1)} per minute, and ${percent(LARGEST_DRIFT, 1)} is the most; let the lamp warm up, look at its supply, and check again.`;
  }
}

/** One line each for dark, light, flicker and drift as they were found, passed or not. */
export function lightCheckSentences(result: LightCheckResult): readonly string[] {
  const { dark, noise, darkSeconds, openSeconds, height, heightUncertainty, headroom, flicker, drift } =
    result;
  return [
    `Dark at ${dark.toFixed(1)} steps, noise ${noise.toFixed(2)} steps (${darkSeconds.toFixed(1)} s of dark).`,
    `Open light ${height.toFixed(1)} ± ${(2 * heightUncertainty).toFixed(1)} steps above dark, ${percent(headroom)} of the range left above it (${openSeconds.toFixed(1)} s of light).`,
    flicker === null
      ? 'No flicker of 100 or 120 Hz stands out of the noise.'
      : `Flicker of ${flicker.hertz} Hz, ±${percent(flicker.amplitude, 2)} of the light.`,
    drift === null
      ? 'Drift not known: it takes ten seconds of light at least, a minute is better.'
      : `Drift ${signedPercent(drift.perMinute, 2)} of the light per minute (± ${percent(2 * drift.uncertainty, 2)}).`,
  ];
}

const percent = (share: number, digits = 0): string => `${(100 * share).toFixed(digits)} %`;

const signedPercent = (share: number, digits: number): string =>
  `${share < 0 ? '−' : '+'}${percent(Math.abs(share), digits)}`;
