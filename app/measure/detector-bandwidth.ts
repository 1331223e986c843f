/**
 * Bandwidth (±3 dB, from DC) that ISO 516:2019 asks of a detector for a total open time: 100 / t0.
 * Seconds in, hertz out: 1 ms → 100 kHz, 4 ms → 25 kHz.
 */
export function requiredBandwidth(totalSeconds: number): number {
  return 100 / totalSeconds;
}

/** What the samples can carry: half the channel's own rate, or less if sensor, amplifier or converter have less. Hz. */
export function availableBandwidth(secondsPerSample: number, bandwidthHz: number): number {
  return Math.min(0.5 / secondsPerSample, bandwidthHz);
}

/** Shortest total open time, in seconds, whose curve a detector of this bandwidth (Hz) shows to ISO 516. */
export function shortestTotal(bandwidthHz: number): number {
  return 100 / bandwidthHz;
}
