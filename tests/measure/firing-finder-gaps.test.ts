import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { SECONDS_PER_SAMPLE, TICKS_PER_SAMPLE } from './known-light.ts';
import {
  codesOf,
  eventsOf,
  firingsOf,
  newFinder,
  plainOpening,
  pushAll,
  statesOf,
  tickAt,
} from './light-stream.ts';
import { NO_REFERENCE, ONE_FIRING } from './one-firing.ts';

describe('gaps', () => {
  const spoiltAt = (time: number) => {
    const events = pushAll(eventsOf(codesOf({ ...ONE_FIRING, seconds: 1.2 }), 128, [time]));
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
    const events = pushAll(
      eventsOf(codesOf({ ...ONE_FIRING, seconds: 1.2 }), 128, [0.502, 0.505, 0.508, 0.53]),
    );
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
    const codes = codesOf(ONE_FIRING);
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
    pushAll(eventsOf(codesOf({ ...ONE_FIRING, seconds: 0.506 })), finder);
    expect(firingsOf([...finder.push({ kind: 'gap', cause })], 'spoilt')[0]).toMatchObject({ spoilt });
  });
});
