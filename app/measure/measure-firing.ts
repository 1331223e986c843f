/** From a firing to its figures. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import {
  type ClockCorrection,
  type Figures,
  type Firing,
  NO_FIGURES,
  type ReferenceLevel,
  type Remark,
} from './figures.ts';
import { measureCurve } from './measure-curve.ts';
import { heldReference } from './open-level.ts';

export interface MeasuringConditions {
  /** The open level of the present set-up, or null while there is none. */
  readonly reference: ReferenceLevel | null;
  /** Analogue bandwidth of sensor, amplifier and converter in Hz, if known; the sampling rate bounds it anyway. */
  readonly bandwidthHz?: number;
  /** Of the board's clock; left out or null: its nominal rate is taken as true. */
  readonly clock?: ClockCorrection | null;
}

/**
 * Figures of one firing, by the definitions of ISO 516 (effective and total time, efficiency) and IEEE
 * Std 181 (10 to 90 % durations). All seconds are true ones as far as the clock's correction knows. Never
 * throws: a figure that can't be had is null and a remark says why. A spoilt firing is not measured at all.
 */
export function measureFiring(firing: Firing, conditions: MeasuringConditions): Figures {
  if (firing.spoilt !== null) return { ...NO_FIGURES, remarks: [{ code: 'spoilt' }] };
  const { reference, bandwidthHz, clock } = conditions;
  const trueTime = (ticks: number) => seconds(ticks / firing.tickHz / (1 + (clock?.ppm ?? 0) * 1e-6));
  if (firing.timed) return timedFigures(trueTime(firing.timed.close - firing.timed.open));
  const held =
    reference && heldReference(reference, (firing.firstTick - reference.firstTick) / firing.tickHz);
  const figures = measureCurve(
    {
      samples: firing.samples,
      secondsPerSample: trueTime(firing.ticksPerSample),
      fullScale: firing.fullScale,
    },
    { reference: held, bandwidthHz },
  );
  const has = (code: Remark['code']) => figures.remarks.some((remark) => remark.code === code);
  if (firing.truncated === 'start' && !has('truncated start')) {
    return withoutTimes(figures, { code: 'truncated start' });
  }
  if (firing.truncated === 'end' && !has('never closed')) {
    return withoutTimes(figures, { code: 'truncated end' });
  }
  return figures;
}

const timedFigures = (total: Seconds): Figures => ({
  ...NO_FIGURES,
  total,
  remarks: [{ code: 'open time only' }],
});

function withoutTimes(figures: Figures, remark: Remark): Figures {
  return { ...NO_FIGURES, levels: figures.levels, remarks: [...figures.remarks, remark] };
}
