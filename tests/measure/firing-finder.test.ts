import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { StreamEvent } from '../../app/link/stream.ts';
import type { FinderEvent } from '../../app/measure/finder-events.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { exactEffective, SECONDS_PER_SAMPLE, TICK_HZ, TICKS_PER_SAMPLE } from './known-light.ts';
import {
  codesOf,
  eventsOf,
  FIRST_TICK,
  firingsOf,
  newFinder,
  plainOpening,
  pushAll,
  statesOf,
  tickAt,
} from './light-stream.ts';
import { NO_REFERENCE, ONE_FIRING, TEN } from './one-firing.ts';

describe('one firing', () => {
  const events = pushAll(eventsOf(codesOf(ONE_FIRING)));

  it('is told twice: soon after the light has gone, and complete', () => {
    expect(
      events.filter(({ kind }) => kind !== 'level').map((e) => (e.kind === 'state' ? e.state : e.kind)),
    ).toEqual(['armed', 'open', 'closing', 'provisional', 'firing', 'armed']);
  });
  it('comes with at least 200 ms of dark before and 110 ms after', () => {
    const [firing] = firingsOf(events, 'firing');
    const start = (firing!.firstTick - FIRST_TICK) / TICK_HZ;
    expect(start).toBeLessThan(0.3);
    expect(start).toBeGreaterThan(0.27);
    const end = start + firing!.samples.length * SECONDS_PER_SAMPLE;
    expect(end).toBeGreaterThan(0.512 + 0.11);
    expect(end).toBeLessThan(0.65);
    expect(firing).toMatchObject({ truncated: 'no', spoilt: null, contact: [], tickHz: TICK_HZ });
  });
  it('provisional and complete agree with the light', () => {
    const [provisional] = firingsOf(events, 'provisional');
    const [firing] = firingsOf(events, 'firing');
    expect(provisional!.samples.length).toBeLessThan(firing!.samples.length);
    for (const each of [provisional!, firing!]) {
      const { effective } = measureFiring(each, NO_REFERENCE);
      expect(Math.abs(effective! - exactEffective(TEN))).toBeLessThan(7e-6);
    }
  });
  it('is provisional within 20 ms of the last light', () => {
    const finder = newFinder();
    for (const event of eventsOf(codesOf(ONE_FIRING))) {
      if (!finder.push(event).some(({ kind }) => kind === 'provisional') || event.kind !== 'run') continue;
      const end = event.firstTick + event.values.length * TICKS_PER_SAMPLE;
      expect((end - tickAt(0.512)) / TICK_HZ).toBeLessThan(0.02);
      return;
    }
    expect.unreachable();
  });
  it('has the tick of its own first sample', () => {
    const codes = codesOf(ONE_FIRING);
    const [firing] = firingsOf(events, 'firing');
    const first = (firing!.firstTick - FIRST_TICK) / TICKS_PER_SAMPLE;
    expect(Number.isInteger(first)).toBe(true);
    expect(firing!.samples).toEqual(codes.slice(first, first + firing!.samples.length));
  });
});

const digest = (events: readonly FinderEvent[]) =>
  JSON.stringify(events, (_, value) =>
    value instanceof Uint8Array ? Buffer.from(value).toString('base64') : value,
  );

it('finds the same whatever the size of the runs', () => {
  const codes = codesOf({
    seconds: 1.2,
    openings: [
      { at: 0.3, opening: TEN },
      { at: 0.33, opening: plainOpening(0.002), share: 0.2 },
      { at: 0.9, opening: plainOpening(0.1) },
    ],
  });
  const whole = pushAll(eventsOf(codes));
  expect(firingsOf(whole, 'firing')).toHaveLength(2);
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 60_000 }), fc.integer(), (largest, seed) => {
      const random = seededRandom(seed);
      const finder = newFinder();
      const found = [];
      for (let at = 0; at < codes.length; ) {
        const to = Math.min(codes.length, at + 1 + Math.floor(random() * largest));
        const event = {
          kind: 'run',
          channel: 0,
          firstTick: ticks(FIRST_TICK + at * TICKS_PER_SAMPLE),
          ticksPerSample: TICKS_PER_SAMPLE,
          values: codes.slice(at, to),
        } as const;
        found.push(...finder.push(event));
        at = to;
      }
      expect(digest(found)).toBe(digest(whole));
    }),
    { seed: 20, numRuns: 25 },
  );
});

describe('a shutter that does not close', () => {
  const codes = codesOf({ seconds: 3, openings: [{ at: 0.5, opening: plainOpening(1.5) }] });

  it('is reported after the time set, and then it must be dark again', () => {
    const events = pushAll(eventsOf(codes), newFinder({ neverClosesSeconds: 0.8 }));
    const [firing] = firingsOf(events, 'never closed');
    expect(firing).toMatchObject({ truncated: 'end', spoilt: null });
    expect(firingsOf(events, 'firing')).toEqual([]);
    expect(statesOf(events)).toEqual(['armed', 'open', 'not dark yet', 'armed']);
    const figures = measureFiring(firing!, NO_REFERENCE);
    expect(figures.effective).toBeNull();
    expect(figures.remarks).toEqual([{ code: 'never closed', value: expect.closeTo(0.8, 2) }]);
    expect(figures.levels).toMatchObject({ openOrigin: 'plateau', open: expect.closeTo(211.8, 0) });
  });
  it('may be given longer while it is open', () => {
    const finder = newFinder({ neverClosesSeconds: 0.8 });
    const events = eventsOf(codes);
    const early = pushAll(events.slice(0, events.length / 4), finder);
    finder.setNeverCloses(5);
    const late = pushAll(events.slice(events.length / 4), finder);
    expect(firingsOf([...early, ...late], 'never closed')).toEqual([]);
    expect(firingsOf(late, 'firing')).toHaveLength(1);
  });
});

it('records a minute of bulb exposure', () => {
  const codes = codesOf({ seconds: 61, openings: [{ at: 0.5, opening: plainOpening(60) }] });
  const [firing] = firingsOf(pushAll(eventsOf(codes, 4000)), 'firing');
  const { effective, remarks } = measureFiring(firing!, NO_REFERENCE);
  expect(Math.abs(effective! - 60.001)).toBeLessThan(5e-6 + 0.0002 * 60);
  expect(remarks).toEqual([]);
});

describe('light again after closing', () => {
  it('is rebound within 60 ms, in the same record', () => {
    const openings = [
      { at: 0.5, opening: TEN },
      { at: 0.54, opening: plainOpening(0.002), share: 0.2 },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1, openings })));
    const [firing, ...others] = firingsOf(events, 'firing');
    expect(others).toEqual([]);
    const figures = measureFiring(firing!, NO_REFERENCE);
    expect(Math.abs(figures.effective! - 0.011)).toBeLessThan(7e-6);
    expect(figures.rebound!.effective).toBeCloseTo(0.0006, 5);
  });
  it('is a firing of its own later, with the dark there is', () => {
    const openings = [
      { at: 0.5, opening: TEN },
      { at: 0.5 + 0.012 + 0.08, opening: plainOpening(0.02) },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1, openings })));
    const [first, second, ...others] = firingsOf(events, 'firing');
    expect(others).toEqual([]);
    expect(first!.firstTick + first!.samples.length * TICKS_PER_SAMPLE).toBeLessThan(tickAt(0.592));
    expect(second!.firstTick).toBeGreaterThan(tickAt(0.511));
    expect(Math.abs(measureFiring(first!, NO_REFERENCE).effective! - 0.011)).toBeLessThan(7e-6);
    expect(Math.abs(measureFiring(second!, NO_REFERENCE).effective! - 0.021)).toBeLessThan(9e-6);
  });
  it('soon after the first record ended needs no new 100 ms of dark', () => {
    const openings = [
      { at: 0.5, opening: TEN },
      { at: 0.66, opening: plainOpening(0.02) },
    ];
    expect(firingsOf(pushAll(eventsOf(codesOf({ seconds: 1, openings }))), 'firing')).toHaveLength(2);
  });
});

it('attaches the contact edges that fall into the record, and no others', () => {
  const finder = newFinder();
  const edges = [0.1, 0.501, 0.503].map(
    (time, i) => ({ kind: 'contact', tick: tickAt(time), closed: i < 2, lost: 0 }) as const,
  );
  const found = pushAll([...edges, ...eventsOf(codesOf(ONE_FIRING))], finder);
  finder.push({ kind: 'contact', tick: tickAt(0.9), closed: true, lost: 0 });
  expect(firingsOf(found, 'firing')[0]!.contact).toEqual([
    { tick: tickAt(0.501), closed: true },
    { tick: tickAt(0.503), closed: false },
  ]);
});

it('makes a firing without samples of an opening that the board timed', () => {
  const open = tickAt(1);
  const close = tickAt(1.008);
  const [event] = newFinder().push({ kind: 'timed opening', channel: 0, open, close });
  expect(event).toMatchObject({
    kind: 'firing',
    firing: { timed: { open, close }, samples: new Uint8Array(0) },
  });
});

it('keeps channels apart and looks only at those asked for', () => {
  const codes = codesOf(ONE_FIRING);
  const both = eventsOf(codes).flatMap((event): StreamEvent[] =>
    event.kind === 'run' ? [event, { ...event, channel: 1, values: event.values.slice().fill(12) }] : [event],
  );
  expect(firingsOf(pushAll(both), 'firing').map(({ channel }) => channel)).toEqual([0]);
  expect(pushAll(both, newFinder({ channels: [1] })).some(({ kind }) => kind === 'firing')).toBe(false);
});

it('reports the live light five times a second', () => {
  const levels = pushAll(eventsOf(codesOf({ seconds: 1.01, openings: [] }))).filter(
    ({ kind }) => kind === 'level',
  );
  expect(levels).toHaveLength(5);
  expect(levels[0]).toMatchObject({ light: expect.closeTo(11.8, 1), dark: expect.closeTo(11.8, 0) });
});
