/**
 * The flash contact against published figures:
 *
 *  - X and M of a lens shutter: a camera maker's support page (Canon, article ART157798) says that an M contact
 *    closes 13 to 19 ms before the blades are 80 % open, and an X contact as they reach full open;
 *  - a bulb of class M gives its peak 20 ms after the current begins (handbook value, as an encyclopaedia copies it);
 *  - a discharge that dies away exponentially: t0.1/t0.5 = ln 10/ln 2 = 3.3219 (arithmetic; terms of ISO 2827);
 *  - trigger voltages of old flash units: 200 to 400 V seen, up to 600 V quoted, where some cameras stand 6 V only
 *    (service pages).
 */
import { describe, expect, it } from 'vitest';
import { halfPeakDuration } from '../../app/judge/flash-duration.ts';
import { flashSync } from '../../app/judge/flash-sync.ts';
import {
  FLASH_CAUTIONS,
  flashDurationSentence,
  flashSyncSentence,
} from '../../app/judge/flash-sync-sentences.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { lightFiring } from '../measure/known-firing.ts';
import { type KnownOpening, openFraction, TICK_HZ } from '../measure/known-light.ts';

/** Straight edges of 2 ms, 80 % open after 1.6 ms and fully open after 2; a firing at 1/60 whose contact closes then. */
function judged(setting: 'X' | 'M', closure: number, flashDuration = 0.001) {
  const opening: KnownOpening = { shape: 'straight', rise: 0.002, open: 0.0147, fall: 0.002 };
  const first = 0.22;
  const firing = lightFiring((time) => openFraction(opening, time - first), 0.36, 11);
  const tick = (time: number) => ticks(Math.round((first + time) * TICK_HZ));
  const contact = [
    { tick: tick(closure), closed: true },
    { tick: tick(closure + 0.03), closed: false },
  ];
  const figures = measureFiring({ ...firing, contact }, { reference: null });
  return flashSync({
    setting,
    flashDuration: seconds(flashDuration),
    leadWorks: true,
    readings: [{ figures, setAside: null }],
  });
}

describe('M, 13 to 19 ms before the blades are 80 % open', () => {
  it.each([
    { lead: 12.8, verdict: 'too late' },
    { lead: 13.2, verdict: 'in time' },
    { lead: 16, verdict: 'in time' },
    { lead: 18.8, verdict: 'in time' },
    { lead: 19.2, verdict: 'too early' },
  ])('$lead ms before: $verdict', ({ lead, verdict }) => {
    const result = judged('M', 0.0016 - lead / 1000);
    expect(result.verdict).toBe(verdict);
    expect(Math.abs(result.lead!.mean - lead / 1000)).toBeLessThan(15e-6);
  });

  it('puts the peak of a class M bulb, 20 ms after the current, where the blades are open', () => {
    for (const lead of [0.013, 0.019]) {
      const peak = 0.0016 - lead + 0.02;
      expect(peak).toBeGreaterThan(0.0016);
      expect(peak).toBeLessThan(0.002 + 0.0147);
    }
    expect(flashSyncSentence(judged('M', 0.0016 - 0.016))).toContain(
      'class M give their peak about 20 ms after',
    );
  });
});

describe('X, as the blades reach full open', () => {
  it('is sound there, and not when it closes with them half open, or as they close', () => {
    expect(judged('X', 0.002)).toMatchObject({ verdict: 'in time', openAtClosure: expect.closeTo(1, 1) });
    expect(judged('X', 0.0018).verdict).toBe('in time');
    expect(judged('X', 0.001).verdict).toBe('too early');
    expect(judged('X', 0.0167).verdict).toBe('too late');
  });

  it('leaves the whole flash, down to a tenth of its peak, before they close', () => {
    // A flash stated as 1 ms at half its peak lights 3.32 ms down to a tenth.
    const half = 0.001;
    const tenth = half * (Math.LN10 / Math.LN2);
    const closure = 0.002 + 0.0147 + 0.0002 - 0.002; // 2 ms before the blades have closed to 90 %
    expect(judged('X', closure, half).verdict).toBe('in time');
    expect(judged('X', closure, tenth).verdict).toBe('too late');
  });
});

describe('the duration of a flash', () => {
  it('down to a tenth is 3.3219 times that down to a half', () => {
    expect(1 / halfPeakDuration(seconds(1))).toBeCloseTo(3.3219, 4);
    // By the discharge itself: e^(−t/τ) has fallen to a half and to a tenth.
    const tau = 0.43e-3;
    expect(halfPeakDuration(seconds(tau * Math.log(10)))).toBeCloseTo(tau * Math.log(2), 12);
    expect(flashDurationSentence(seconds(3.3219e-3))).toContain('about 1.00 ms');
  });
});

it('warns of flash units, their voltages and their capacitors wherever the contact is judged', () => {
  const cautions = FLASH_CAUTIONS.join(' ');
  expect(cautions).toMatch(/Never put a flash unit on this lead/);
  expect(cautions).toMatch(
    /200 to 400 V at their contacts, some up to 600 V, where some cameras stand 6 V only/,
  );
  expect(cautions).toMatch(/capacitors stay charged/);
  expect(cautions).toMatch(/dirty contact may look good/);
  expect(cautions).toMatch(/self-timer with the lever at M/);
});
