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
import {
  CONTACT_LEAD_SECONDS,
  type ContactRecord,
  contactFigures,
  NO_CONTACT_LIGHT,
} from './flash-contact.ts';
import { measureCurve } from './measure-curve.ts';
import { heldReference } from './open-level.ts';

export interface MeasuringConditions {
  /** The open level of the present set-up, or null while there is none. */
  readonly reference: ReferenceLevel | null;
  /** Of sensor and amplifier in Hz; left out or null: not known. The sampling rate bounds it anyway. */
  readonly bandwidthHz?: number | null;
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
  const contact = contactRecord(firing, trueTime);
  if (firing.timed) return timedFigures(trueTime(firing.timed.close - firing.timed.open), contact);
  const held =
    reference && heldReference(reference, (firing.firstTick - reference.firstTick) / firing.tickHz);
  const figures = measureCurve(
    {
      samples: firing.samples,
      secondsPerSample: trueTime(firing.ticksPerSample),
      fullScale: firing.fullScale,
      contact,
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

const timedFigures = (total: Seconds, contact: ContactRecord): Figures => ({
  ...NO_FIGURES,
  total,
  contact: contactFigures(contact, NO_CONTACT_LIGHT),
  remarks: [{ code: 'open time only' }],
});

function contactRecord(firing: Firing, trueTime: (ticks: number) => Seconds): ContactRecord {
  const { timed, firstTick, ticksPerSample, samples } = firing;
  const length = timed ? timed.close - timed.open : (samples.length - 1) * ticksPerSample;
  return {
    edges: firing.contact.map(({ tick, closed, lost = 0 }) => ({
      at: trueTime(tick - firstTick),
      closed,
      lost,
    })),
    closedBefore: firing.contactClosedBefore === true,
    from: seconds(timed ? -CONTACT_LEAD_SECONDS : 0),
    to: trueTime(length),
  };
}

/** The contact keeps its own figures where the light has none. */
function withoutTimes({ levels, contact, remarks }: Figures, remark: Remark): Figures {
  return { ...NO_FIGURES, levels, contact, remarks: [...remarks, remark] };
}
