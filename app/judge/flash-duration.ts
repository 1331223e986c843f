import { type Seconds, seconds } from '../../firmware-protocol/units.ts';

/**
 * The flash's duration down to half its peak (t0.5, as makers like to state it) from that down to a tenth (t0.1,
 * which holds nine tenths of the light), for a discharge that dies away exponentially: t0.1/t0.5 = ln 10/ln 2.
 * Terms after ISO 2827.
 */
export const halfPeakDuration = (tenthPeak: Seconds): Seconds => seconds((tenthPeak * Math.LN2) / Math.LN10);
