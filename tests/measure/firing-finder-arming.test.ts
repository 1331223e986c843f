import { describe, expect, it } from 'vitest';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { exactEffective, TICKS_PER_SAMPLE } from './known-light.ts';
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
import { NO_REFERENCE, ONE_FIRING, TEN } from './one-firing.ts';

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
    const codes = codesOf(ONE_FIRING);
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
