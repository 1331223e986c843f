import { describe, expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { contactChart, contactX } from '../../app/screens/camera-contact-chart.ts';
import { contactColumns, contactWords, firstPlace } from '../../app/screens/camera-contact-columns.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { firingOf } from '../measure/known-firing.ts';
import { knownRecord, openingOf, TICK_HZ } from '../measure/known-light.ts';

const QUIET = { dark: 12, height: 200, noise: 0.5 };
/** 1/60 with straight edges of 2 ms; the contact changes at these seconds after first light, closing first. */
function firingWith(changes: readonly number[], opening = openingOf(1 / 60, 'straight', 0.002)) {
  const plain = firingOf(knownRecord(opening, 3, QUIET));
  const { instants } = measureFiring(plain, { reference: null, clock: null });
  const firstLight = instants!.firstLight;
  return firingOf(plain.samples, {
    contact: changes.map((at, i) => ({
      tick: ticks(Math.round((firstLight + at) * TICK_HZ)),
      closed: i % 2 === 0,
    })),
  });
}
function columnsOf(changes: readonly number[], flash = 1e-3, ppm = 0) {
  const firing = firingWith(changes);
  const clock = ppm === 0 ? null : { ppm, uncertainty: 1, observedSeconds: 60 };
  return contactColumns(firing, measureFiring(firing, { reference: null, clock }), ppm, seconds(flash))!;
}

describe('the contact beside the light', () => {
  it('has every closed time, bounces apart, and the flash from the first touch', () => {
    const { closed, flash } = columnsOf([2e-3, 2.1e-3, 2.3e-3, 20e-3]);
    expect(closed.map(({ from, to }) => [from.toFixed(2), to.toFixed(2)])).toEqual([
      ['2.00', '2.10'],
      ['2.30', '20.00'],
    ]);
    expect(flash!.from).toBeCloseTo(2, 2);
    expect(flash!.to - flash!.from).toBeCloseTo(1, 9);
  });

  it.each([3000, -3000])('stands on the light’s own axis with a clock %i ppm fast', (ppm) => {
    // A late closure moves by the clock's error as the light does.
    const { closed } = columnsOf([15e-3, 20e-3], 1e-3, ppm);
    expect(closed[0]!.from).toBeCloseTo(15 / (1 + ppm * 1e-6), 2);
  });

  it('shows the lead of an M contact, the whole flash, and no more than the record', () => {
    const { window, time } = columnsOf([-14e-3, 20e-3]);
    expect(window.from).toBeCloseTo(-16, 1);
    expect(time[0]!).toBeGreaterThanOrEqual(window.from - 0.05);
    const late = columnsOf([24e-3, 25e-3], 20e-3);
    expect(late.window.to).toBeGreaterThanOrEqual(Math.min(46, late.time.at(-1)!) - 0.1);
    expect(late.time.at(-1)!).toBeLessThanOrEqual(late.window.to + 0.05);
  });

  it('a contact that stood closed before is closed from the beginning of the plot', () => {
    const firing = { ...firingWith([2e-3]), contact: [], contactClosedBefore: true as const };
    const figures = measureFiring(firing, { reference: null, clock: null });
    const { closed, window, flash } = contactColumns(firing, figures, 0, seconds(1e-3))!;
    expect(closed).toEqual([window]);
    expect(flash).toBeNull();
  });

  it('says in words what stands at a place', () => {
    const columns = columnsOf([2e-3, 20e-3]);
    const first = contactWords(columns, firstPlace(columns), true);
    expect(first).toMatch(/^2\.0\d ms after first light, (9\d|100) % open, contact closed, flash lit$/);
    expect(contactWords(columns, firstPlace(columns), false)).not.toContain('flash');
    expect(contactWords(columns, 0, true)).toMatch(/before first light, 0 % open, contact open$/);
  });

  it('has nothing to draw for a firing without samples', () => {
    const firing = { ...firingWith([]), samples: new Uint8Array(0) };
    expect(
      contactColumns(firing, measureFiring(firing, { reference: null, clock: null }), 0, seconds(0)),
    ).toBeNull();
  });
});

describe('its chart', () => {
  const columns = columnsOf([2e-3, 2.1e-3, 2.3e-3, 20e-3]);
  const bars = (setting: 'X' | 'M') =>
    contactChart(columns, setting, 5, 400, 200).flatMap((shape) => (shape.kind === 'rect' ? [shape] : []));

  it('has a bar for each closed time, and one for the flash at X alone', () => {
    expect(bars('X').map(({ tone }) => tone)).toEqual(['ink', 'ink', 'as found']);
    expect(bars('M').map(({ tone }) => tone)).toEqual(['ink', 'ink']);
    const [, long] = bars('X');
    expect(long!.x).toBeCloseTo(contactX(columns, 400, columns.closed[1]!.from), 6);
    expect(long!.x + long!.width).toBeCloseTo(contactX(columns, 400, columns.closed[1]!.to), 6);
  });

  it('keeps within its drawing and names what it shows', () => {
    const shapes = contactChart(columns, 'X', 5, 400, 200);
    for (const shape of shapes) {
      const places = shape.kind === 'line' ? shape.points : [[shape.x, shape.y] as const];
      for (const [x, y] of places) {
        expect(x).toBeGreaterThanOrEqual(0);
        expect(x).toBeLessThanOrEqual(400);
        expect(y).toBeGreaterThanOrEqual(0);
        expect(y).toBeLessThanOrEqual(200);
      }
    }
    const texts = shapes.flatMap((shape) => (shape.kind === 'text' ? [shape.text] : []));
    for (const text of ['contact', 'flash', '90 %', 'ms from first light']) expect(texts).toContain(text);
  });
});
