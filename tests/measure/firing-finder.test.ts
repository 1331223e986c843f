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

const TEN = plainOpening(0.01);
const NO_REFERENCE = { reference: null };
const one = { seconds: 1, openings: [{ at: 0.5, opening: TEN }] };

describe('one firing', () => {
  const events = pushAll(eventsOf(codesOf(one)));

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
    for (const event of eventsOf(codesOf(one))) {
      if (!finder.push(event).some(({ kind }) => kind === 'provisional') || event.kind !== 'run') continue;
      const end = event.firstTick + event.values.length * TICKS_PER_SAMPLE;
      expect((end - tickAt(0.512)) / TICK_HZ).toBeLessThan(0.02);
      return;
    }
    expect.unreachable();
  });
  it('has the tick of its own first sample', () => {
    const codes = codesOf(one);
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

describe('arming', () => {
  it('takes 100 ms of dark', () => {
    expect(statesOf(pushAll(eventsOf(codesOf({ seconds: 0.09, openings: [] }))))).toEqual([]);
    expect(statesOf(pushAll(eventsOf(codesOf({ seconds: 0.11, openings: [] }))))).toEqual(['armed']);
  });
  it('makes no firing of light that was there before', () => {
    const events = pushAll(
      eventsOf(codesOf({ seconds: 1, openings: [{ at: -0.5, opening: plainOpening(0.9) }] })),
    );
    expect(statesOf(events)).toEqual(['armed']);
    expect(events.every(({ kind }) => kind === 'state' || kind === 'level')).toBe(true);
  });
  it('waits through light while cocking and then finds the exposure', () => {
    const openings = [
      { at: 0.02, opening: plainOpening(0.05) },
      { at: 0.1, opening: plainOpening(0.05) },
      { at: 0.5, opening: TEN },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1, openings })));
    expect(firingsOf(events, 'firing')).toHaveLength(1);
    expect(firingsOf(events, 'firing')[0]!.firstTick).toBeGreaterThan(tickAt(0.15));
  });
  it('follows a reflex shutter: standing open, closing, exposing, opening again', () => {
    const openings = [
      { at: -1, opening: plainOpening(1.3) },
      { at: 0.45, opening: TEN },
      { at: 0.9, opening: plainOpening(5) },
    ];
    const finder = newFinder({ neverClosesSeconds: 1 });
    const events = pushAll(eventsOf(codesOf({ seconds: 2.5, openings })), finder);
    expect(firingsOf(events, 'firing')).toHaveLength(1);
    expect(firingsOf(events, 'never closed')).toHaveLength(1);
    const { effective } = measureFiring(firingsOf(events, 'firing')[0]!, NO_REFERENCE);
    expect(Math.abs(effective! - exactEffective(TEN))).toBeLessThan(7e-6);
  });
  it('is not fooled by a weak shutter that stands open: when it closes, that is the new dark', () => {
    const converter = { dark: 6, height: 40, noise: 1 };
    const openings = [
      { at: -1, opening: plainOpening(1.5) },
      { at: 0.8, opening: TEN },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1.2, openings, converter })));
    expect(firingsOf(events, 'firing')).toHaveLength(1);
    const figures = measureFiring(firingsOf(events, 'firing')[0]!, NO_REFERENCE);
    expect(Math.abs(figures.effective! - exactEffective(TEN))).toBeLessThan(40e-6);
  });
  it('accepts a brighter room after five seconds', () => {
    const openings = [
      { at: 0.5, opening: { shape: 'straight', rise: 0.5, open: 20, fall: 1 }, share: 0.1 },
    ] as const;
    const finder = newFinder({ neverClosesSeconds: 1 });
    const events = pushAll(eventsOf(codesOf({ seconds: 9, openings })), finder);
    expect(statesOf(events).at(-1)).toBe('armed');
  });
  it('ignores spikes of a few samples and goes on', () => {
    const codes = codesOf(one);
    for (const at of [8000, 9000, 10_000]) codes.fill(250, at, at + 5);
    const events = pushAll(eventsOf(codes));
    expect(firingsOf(events, 'firing')).toHaveLength(1);
    expect(firingsOf(events, 'provisional')).toHaveLength(1);
    const { effective } = measureFiring(firingsOf(events, 'firing')[0]!, NO_REFERENCE);
    expect(Math.abs(effective! - exactEffective(TEN))).toBeLessThan(7e-6);
  });
  it('stays armed without firing through a minute of noise', () => {
    const codes = codesOf({ seconds: 2, openings: [], converter: { dark: 12.4, height: 0, noise: 1.5 } });
    const finder = newFinder();
    const kinds = new Set<string>();
    for (let i = 0; i < 30; i++) {
      const firstTick = ticks(i * codes.length * TICKS_PER_SAMPLE);
      const run = {
        kind: 'run',
        channel: 0,
        firstTick,
        ticksPerSample: TICKS_PER_SAMPLE,
        values: codes,
      } as const;
      for (const event of finder.push(run)) kinds.add(event.kind === 'state' ? event.state : event.kind);
    }
    expect([...kinds].sort()).toEqual(['armed', 'level']);
  });
});

describe('gaps', () => {
  const spoiltAt = (time: number) => {
    const events = pushAll(eventsOf(codesOf({ ...one, seconds: 1.2 }), 128, [time]));
    return { events, good: firingsOf(events, 'firing'), spoilt: firingsOf(events, 'spoilt') };
  };

  it.each([
    ['while open', 0.505, 'end'],
    ['at the first light', 0.5005, 'end'],
    ['while closing', 0.5115, 'end'],
    ['in the rebound window', 0.55, 'no'],
    ['in the dark after it', 0.62, 'no'],
  ])('%s spoils the firing', (_, time, truncated) => {
    const { good, spoilt, events } = spoiltAt(time);
    expect(good).toEqual([]);
    expect(spoilt).toHaveLength(1);
    expect(spoilt[0]).toMatchObject({ spoilt: 'data damaged', truncated });
    expect(statesOf(events).at(-1)).toBe('armed');
  });
  it('that swallows the first light gives a spoilt firing, never a good one', () => {
    const { good, spoilt } = spoiltAt(0.4985);
    expect(good).toEqual([]);
    expect(spoilt).toHaveLength(1);
    expect(spoilt[0]).toMatchObject({ spoilt: 'data damaged', truncated: 'start' });
  });
  it('less than 100 ms before the light gives a spoilt firing too', () => {
    const { good, spoilt } = spoiltAt(0.44);
    expect(good).toEqual([]);
    expect(spoilt).toHaveLength(1);
  });
  it('in the dark, earlier or later, costs nothing but the dark history', () => {
    const early = spoiltAt(0.3);
    expect(early.good).toHaveLength(1);
    expect(early.spoilt).toEqual([]);
    expect(early.good[0]!.firstTick).toBeGreaterThanOrEqual(tickAt(0.3));
    const late = spoiltAt(0.7);
    expect(late.good).toHaveLength(1);
    expect(late.spoilt).toEqual([]);
  });
  it('many in one firing give one spoilt firing', () => {
    const events = pushAll(eventsOf(codesOf({ ...one, seconds: 1.2 }), 128, [0.502, 0.505, 0.508, 0.53]));
    expect(firingsOf(events, 'firing')).toEqual([]);
    expect(firingsOf(events, 'spoilt')).toHaveLength(1);
  });
  it('after a firing and before it is armed again do not make the next firing vanish', () => {
    const openings = [
      { at: 0.5, opening: plainOpening(0.01) },
      { at: 0.62, opening: plainOpening(0.01) },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1.2, openings }), 128, [0.54, 0.6]));
    expect(firingsOf(events, 'firing')).toEqual([]);
    expect(firingsOf(events, 'spoilt')).toHaveLength(2);
  });
  it('in the rebound window do not make two firings of one release', () => {
    const openings = [
      { at: 0.5, opening: plainOpening(0.01) },
      { at: 0.542, opening: plainOpening(0.002), share: 0.2 },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1.2, openings }), 128, [0.53]));
    expect(firingsOf(events, 'firing')).toEqual([]);
    expect(firingsOf(events, 'spoilt')).toHaveLength(1);
  });
  it('still stand behind a spike: the firing after it is spoilt, not gone', () => {
    const openings = [
      { at: 0.45, opening: { shape: 'straight', rise: 0.00005, open: 0.00008, fall: 0.00005 } as const },
      { at: 0.48, opening: plainOpening(0.008) },
    ];
    const events = pushAll(eventsOf(codesOf({ seconds: 1.2, openings }), 128, [0.44]));
    expect(firingsOf(events, 'firing')).toEqual([]);
    expect(firingsOf(events, 'spoilt').length).toBeGreaterThanOrEqual(1);
    expect(firingsOf(events, 'spoilt').at(-1)!.samples.length).toBeGreaterThan(300);
  });
  it('anywhere never leave a good firing that touches them', () => {
    const codes = codesOf({
      seconds: 1.5,
      openings: [
        { at: 0.3, opening: plainOpening(0.03) },
        { at: 0.36, opening: plainOpening(0.003), share: 0.2 },
        { at: 0.9, opening: plainOpening(0.1) },
      ],
    });
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0.01, max: 1.45, noNaN: true }), { maxLength: 3 }), (gaps) => {
        const good = firingsOf(pushAll(eventsOf(codes, 500, gaps)), 'firing');
        for (const firing of good) {
          const end = firing.firstTick + firing.samples.length * TICKS_PER_SAMPLE;
          for (const gap of gaps) {
            const lost = tickAt(gap) + 64 * TICKS_PER_SAMPLE;
            expect(lost > firing.firstTick && lost < end).toBe(false);
          }
          const { effective } = measureFiring(firing, NO_REFERENCE);
          const truth = firing.firstTick < tickAt(0.3) ? 0.031 : 0.101;
          expect(Math.abs(effective! - truth)).toBeLessThan(30e-6);
        }
      }),
      { seed: 4, numRuns: 150 },
    );
  });
  it('that no one reported show in the ticks', () => {
    const codes = codesOf(one);
    const events = eventsOf(codes).filter((_, i) => i !== Math.floor(0.505 / SECONDS_PER_SAMPLE / 128));
    const found = pushAll(events);
    expect(firingsOf(found, 'firing')).toEqual([]);
    expect(firingsOf(found, 'spoilt')[0]).toMatchObject({ spoilt: 'data missing' });
  });
  it.each([
    ['disconnected', 'disconnected'],
    ['overrun', 'board overrun'],
    ['read error', 'read error'],
    ['restarted', 'board restarted'],
    ['silence', 'silence'],
    ['missing', 'data missing'],
  ] as const)('of cause "%s" give firings spoilt by "%s"', (cause, spoilt) => {
    const finder = newFinder();
    pushAll(eventsOf(codesOf({ ...one, seconds: 0.506 })), finder);
    expect(firingsOf([...finder.push({ kind: 'gap', cause })], 'spoilt')[0]).toMatchObject({ spoilt });
  });
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
  const found = pushAll([...edges, ...eventsOf(codesOf(one))], finder);
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
  const codes = codesOf(one);
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
