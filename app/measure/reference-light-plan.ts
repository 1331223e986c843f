/** Which pulses the board's own LED gives, to see whether sensor, amplifier and analysis read them truly. */

interface PulseTrain {
  /** Seconds. */
  readonly length: number;
  readonly count: number;
}

/** What the board is told: width and gap in ticks. */
export interface PulseOrder {
  readonly width: number;
  readonly gap: number;
  readonly count: number;
}

/**
 * Some nine seconds of pulses. A single pulse reads up to a sample too long or too short, by its phase against the
 * sampling, so that the mean over all phases is judged: 52 phases a sample for the short ones, which are all that
 * a board with 52 ticks from sample to sample has, fewer for the long ones, where 0.1 % is more than a sample.
 */
export const REFERENCE_LIGHT_PLAN: readonly PulseTrain[] = [
  { length: 0.0005, count: 52 },
  { length: 0.001, count: 52 },
  { length: 0.002, count: 52 },
  { length: 0.005, count: 52 },
  { length: 0.01, count: 52 },
  { length: 0.02, count: 26 },
  { length: 0.05, count: 13 },
  { length: 0.1, count: 13 },
  { length: 0.2, count: 4 },
  { length: 0.5, count: 4 },
];

/** Dark between two pulses: 1 ms for the tail of the light behind each, 6 ms to read the dark in, and one to spare. */
const GAP_SECONDS = 0.008;
/**
 * From pulse to pulse the phase jumps by this share of the sample, rounded to a step that meets every phase once
 * (the golden section): a few pulses lost in a row then leave no hole in the phases.
 */
const PHASE_JUMP = (3 - Math.sqrt(5)) / 2;

/** The train in ticks. Its period is that of some whole samples and a step of phase. */
export function pulseOrder(
  { length, count }: PulseTrain,
  tickHz: number,
  ticksPerSample: number,
): PulseOrder {
  const width = Math.round(length * tickHz);
  const phase = Math.round((ticksPerSample / count) * stepAmong(count)) % ticksPerSample;
  const least = width + Math.ceil(GAP_SECONDS * tickHz);
  const period = Math.ceil((least - phase) / ticksPerSample) * ticksPerSample + phase;
  return { width, gap: period - width, count };
}

/** Ticks from the first rise to the end of the last gap. */
export const orderTicks = ({ width, gap, count }: PulseOrder): number => count * (width + gap);

/** The number nearest to PHASE_JUMP · count that shares no factor with it. */
function stepAmong(count: number): number {
  const wanted = Math.max(1, Math.round(PHASE_JUMP * count));
  for (let off = 0; off < count; off++) {
    for (const step of [wanted + off, wanted - off]) {
      if (step > 0 && greatestCommonDivisor(step, count) === 1) return step;
    }
  }
  return 1;
}

const greatestCommonDivisor = (a: number, b: number): number =>
  b === 0 ? a : greatestCommonDivisor(b, a % b);
