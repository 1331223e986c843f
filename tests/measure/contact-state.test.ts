import { describe, expect, it } from 'vitest';
import type { GapCause, StreamEvent } from '../../app/link/stream.ts';
import { ContactHistory } from '../../app/measure/contact-history.ts';
import { ContactState } from '../../app/measure/contact-state.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { codesOf, eventsOf, firingsOf, newFinder, plainOpening, pushAll, tickAt } from './light-stream.ts';

const TICK_HZ = 2_000_000;
const at = (time: number) => ticks(Math.round(time * TICK_HZ));
const run = (time: number): StreamEvent => ({
  kind: 'run',
  channel: 0,
  firstTick: at(time),
  ticksPerSample: 52,
  values: new Uint8Array(128),
});
const edge = (time: number, closed: boolean, lost = 0) =>
  ({ kind: 'contact', tick: at(time), closed, lost }) as const;
const gap = (cause: GapCause): StreamEvent => ({ kind: 'gap', cause });

function stateAfter(...events: StreamEvent[]): boolean | null {
  const state = new ContactState({ tickHz: TICK_HZ });
  for (const event of events) state.take(event);
  return state.closed;
}

describe('the state of the contact', () => {
  it('is unknown at first, and what the last edge said afterwards', () => {
    expect(stateAfter()).toBeNull();
    expect(stateAfter(run(900), run(1000))).toBeNull();
    expect(stateAfter(run(900), edge(900.5, true), run(901))).toBe(true);
    expect(stateAfter(run(900), edge(900.5, true), edge(900.6, false), run(901))).toBe(false);
  });

  it('is open when a board that was just reset has said nothing of it for half a second', () => {
    expect(stateAfter(gap('restarted'), run(0.1), run(0.4))).toBeNull();
    expect(stateAfter(gap('restarted'), run(0.1), run(0.4), run(0.61))).toBe(false);
    expect(stateAfter(gap('restarted'), run(0.1), edge(0.262, true, 1), run(0.7))).toBe(true);
    expect(stateAfter(edge(0.262, true, 1), run(0.7), run(0.8))).toBe(true);
    expect(stateAfter(run(6), run(7))).toBeNull();
  });

  it.each(['damaged', 'missing', 'read error', 'disconnected', 'silence', 'restarted'] as const)(
    'is unknown again after a gap: %s',
    (cause) => {
      expect(stateAfter(run(0.1), run(0.7), gap(cause), run(800))).toBeNull();
      expect(stateAfter(edge(1, true), gap(cause))).toBeNull();
    },
  );

  it('outlasts conversions that the board lost, which cost no edge', () => {
    expect(stateAfter(edge(1, true), gap('overrun'), run(2))).toBe(true);
  });
});

describe('what a record is told of the contact', () => {
  it('is the edges in it, and that it stood closed before', () => {
    const history = new ContactHistory(null);
    for (const event of [edge(1, true), edge(2, false), edge(3, true, 2)]) history.add(event);
    expect(history.between(at(1.5), at(3.5))).toEqual({
      contact: [
        { tick: at(2), closed: false },
        { tick: at(3), closed: true, lost: 2 },
      ],
      contactClosedBefore: true,
    });
    expect(history.between(at(2.5), at(2.6))).toEqual({ contact: [] });
    expect(history.between(at(3.5), at(4))).toEqual({ contact: [], contactClosedBefore: true });
    expect(history.between(at(0), at(0.5))).toEqual({ contact: [] });
  });

  it('is not that it stood closed, where the parting may have got lost', () => {
    const history = new ContactHistory(null);
    history.add(edge(1, true));
    history.gap('damaged');
    expect(history.between(at(2), at(3))).toEqual({ contact: [] });
    const known = new ContactHistory(true);
    expect(known.between(at(2), at(3))).toEqual({ contact: [], contactClosedBefore: true });
    known.gap('overrun');
    expect(known.between(at(2), at(3))).toEqual({ contact: [], contactClosedBefore: true });
    known.gap('missing');
    expect(known.between(at(2), at(3))).toEqual({ contact: [] });
  });

  it('forgets what came before a restart', () => {
    const history = new ContactHistory(null);
    history.add(edge(1, true));
    history.gap('restarted');
    expect(history.between(at(0), at(3))).toEqual({ contact: [] });
  });

  it('reaches through a chatter of thousands of edges', () => {
    const history = new ContactHistory(null);
    for (let n = 0; n < 10_001; n++) history.add(edge(1 + n * 1e-3, n % 2 === 0));
    expect(history.between(at(11), at(12))).toEqual({ contact: [{ tick: at(11), closed: true }] });
    expect(history.between(at(11.5), at(12))).toEqual({ contact: [], contactClosedBefore: true });
    expect(history.between(at(0), at(12)).contact.length).toBeGreaterThan(2000);
  });
});

describe('the finder', () => {
  const one = { seconds: 1, openings: [{ at: 0.5, opening: plainOpening(0.01) }] };
  const contact = (time: number, closed: boolean, lost = 0) =>
    ({ kind: 'contact', tick: tickAt(time), closed, lost }) as const;

  it('keeps edges from 60 ms before first light, M included, even 100 ms after it was armed', () => {
    // It is dark from 0.36 s on, so that the record can't go back further.
    const openings = [
      { at: 0.2, opening: plainOpening(0.158) },
      { at: 0.5, opening: plainOpening(0.01) },
    ];
    const edges = [contact(0.44, true), contact(0.475, false), contact(0.476, true), contact(0.513, false)];
    const found = pushAll([...edges, ...eventsOf(codesOf({ seconds: 1, openings }))]);
    expect(firingsOf(found, 'firing').at(-1)!.contact).toHaveLength(4);
  });

  it('says that the contact stood closed before the record, from an edge or from what it was told', () => {
    const closed = [contact(0.1, true), ...eventsOf(codesOf(one))];
    expect(firingsOf(pushAll(closed), 'firing')[0]).toMatchObject({ contact: [], contactClosedBefore: true });
    const told = pushAll(eventsOf(codesOf(one)), newFinder({ contactClosed: true }));
    expect(firingsOf(told, 'firing')[0]).toMatchObject({ contact: [], contactClosedBefore: true });
    const open = pushAll(eventsOf(codesOf(one)), newFinder({ contactClosed: false }));
    expect(firingsOf(open, 'firing')[0]).not.toHaveProperty('contactClosedBefore');
  });

  it('hands on how many edges were lost', () => {
    const found = pushAll([contact(0.501, true, 4), contact(0.51, false), ...eventsOf(codesOf(one))]);
    expect(firingsOf(found, 'firing')[0]!.contact).toEqual([
      { tick: tickAt(0.501), closed: true, lost: 4 },
      { tick: tickAt(0.51), closed: false },
    ]);
  });
});
