import type { PulseResult, ReferenceLightResult } from './light-check-result.ts';
import type { ReferenceLightObstacle } from './reference-light.ts';
import { REFERENCE_LIGHT_PLAN } from './reference-light-plan.ts';
import { timeText } from './shutter-fraction.ts';

/** What came of the check, in one sentence or two: passed, or what is off, with its number, and what to change. */
export function referenceLightSentence({ pulses, limit, passed }: ReferenceLightResult): string {
  const allowed = ({ length }: PulseResult) => limit.seconds + limit.share * length;
  const byExcess = [...pulses].sort(
    (a, b) => Math.abs(b.error) / allowed(b) - Math.abs(a.error) / allowed(a),
  );
  const worst = byExcess[0];
  if (passed && worst) {
    return `Pulses from ${timeText(pulses[0]!.length)} to ${timeText(pulses.at(-1)!.length)} read true: at worst ${signed(worst.error)} at ${timeText(worst.length)}, where ±${microseconds(allowed(worst))} are allowed.`;
  }
  if (worst && Math.abs(worst.error) > allowed(worst)) {
    const seen = `Pulses of ${timeText(worst.length)} read ${signed(worst.error)}, and ±${microseconds(allowed(worst))} are allowed;`;
    return worst.error > 0
      ? `${seen} the sensor goes on after the light has gone, or other light comes in: use a photodiode rather than a phototransistor, lessen its load, cover the bench, and send the pulses again.`
      : `${seen} the sensor comes too late or the LED does not reach its full light at once: look at the LED's resistor and supply, lessen the load of the sensor, and send the pulses again.`;
  }
  const missing = REFERENCE_LIGHT_PLAN.reduce((sum, { count }) => sum + count, 0) - countOf(pulses);
  return `${missing} pulses were lost on the line, too many for a judgement; look at the cable and send the pulses again.`;
}

/** Why the pulses could not be read, and what to change. */
export function referenceLightObstacleSentence(obstacle: ReferenceLightObstacle): string {
  switch (obstacle) {
    case 'no pulses':
      return 'The board told of no pulse that could be read; look at the cable and send the pulses again.';
    case 'no light':
      return 'The sensor does not see the reference light; turn the LED on pin D9 to the sensor, and look at its resistor and its polarity.';
    case 'too bright':
      return 'The reference light drives the sensor to the top of its range; move the LED away, or give it a larger resistor.';
  }
}

const countOf = (pulses: readonly PulseResult[]) => pulses.reduce((sum, { count }) => sum + count, 0);

const microseconds = (time: number): string => `${(1e6 * Math.abs(time)).toFixed(1)} µs`;

const signed = (time: number): string => `${microseconds(time)} ${time < 0 ? 'short' : 'long'}`;
