import { describe, expect, it } from 'vitest';
import {
  type ContactMoment,
  type ContactRecord,
  contactFigures,
  NO_CONTACT_LIGHT,
  SETTLED_SECONDS,
} from '../../app/measure/flash-contact.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { seconds, ticks } from '../../firmware-protocol/units.ts';
import { firingOf, knownFiring, lightFiring } from './known-firing.ts';
import { type KnownOpening, openFraction, TICK_HZ } from './known-light.ts';

const ms = (time: number) => seconds(time / 1000);

/** Edges by their times in ms: closing first, then by turns, unless it begins with an opening. */
function record(times: readonly number[], change: Partial<ContactRecord> = {}, first = true): ContactRecord {
  const edges = times.map(
    (time, n): ContactMoment => ({
      at: ms(time),
      closed: (n % 2 === 0) === first,
      lost: 0,
    }),
  );
  return { edges, closedBefore: false, from: ms(0), to: ms(300), ...change };
}

const read = (contact: ContactRecord) => contactFigures(contact, NO_CONTACT_LIGHT);

describe('closures of the contact', () => {
  it('are nothing where no edge came and nobody knows that it stood closed', () => {
    expect(read(record([]))).toBeNull();
  });

  it('give first closure, parting and the time between', () => {
    expect(read(record([220, 226]))).toEqual({
      closed: ms(220),
      closedBefore: false,
      bounces: 0,
      bounceTime: 0,
      parted: ms(226),
      closedTime: expect.closeTo(0.006, 12),
      lost: 0,
      openAtClosure: null,
      open80: null,
      open90: null,
      closing90: null,
    });
  });

  it('bounce until one of them lasts a millisecond; what breaks later is no bounce', () => {
    const figures = read(record([220, 220.1, 220.2, 220.9, 221.1, 224, 225, 226]))!;
    expect(figures.closed).toBe(ms(220));
    expect(figures.bounces).toBe(2);
    expect(figures.bounceTime).toBeCloseTo(0.0011, 12);
    expect(figures.parted).toBe(ms(226));
    expect(figures.closedTime).toBeCloseTo(0.0001 + 0.0007 + 0.0029 + 0.001, 12);
  });

  it.each([
    { length: SETTLED_SECONDS - 1e-6, bounces: 1 },
    { length: SETTLED_SECONDS + 1e-6, bounces: 0 },
  ])(
    'settle after a millisecond: a first touch of $length s makes $bounces bounces',
    ({ length, bounces }) => {
      expect(read(record([220, 220 + 1000 * length, 230, 240]))!.bounces).toBe(bounces);
    },
  );

  it('that never last end with the last parting, which is no bounce', () => {
    const figures = read(record([220, 220.2, 220.5, 220.6]))!;
    expect(figures.bounces).toBe(1);
    expect(figures.bounceTime).toBeCloseTo(0.0005, 12);
  });

  it('that go on at the end of the record have not parted, and last', () => {
    const figures = read(record([299.5]))!;
    expect(figures).toMatchObject({ parted: null, bounces: 0, closed: ms(299.5) });
    expect(figures.closedTime).toBeCloseTo(0.0005, 12);
  });
});

describe('a contact that was closed before the record', () => {
  it('and stays so has no closure in it', () => {
    expect(read(record([], { closedBefore: true }))).toMatchObject({
      closed: null,
      closedBefore: true,
      parted: null,
      closedTime: ms(300),
      lost: 0,
    });
  });

  it('may part and close again: that is the closure', () => {
    const figures = read(record([3, 220, 220.1, 220.2, 226], { closedBefore: true }, false))!;
    expect(figures).toMatchObject({ closed: ms(220), closedBefore: true, bounces: 1, parted: ms(226) });
    expect(figures.closedTime).toBeCloseTo(0.003 + 0.0001 + 0.0058, 12);
  });

  it('is known by its parting, if nothing was lost', () => {
    expect(read(record([3], {}, false))).toMatchObject({ closed: null, closedBefore: true, parted: ms(3) });
  });
});

describe('lost edges', () => {
  const edge = (time: number, closed: boolean, lost: number): ContactMoment => ({
    at: ms(time),
    closed,
    lost,
  });

  it('before the first closure leave its instant unknown, and never make it no closure', () => {
    const edges = [edge(220, true, 1), edge(226, false, 0)];
    expect(read(record([], { edges }))).toMatchObject({ closed: null, closedBefore: false, lost: 1 });
  });

  it('of which one was the closure leave only its parting', () => {
    const edges = [edge(221, false, 1)];
    expect(read(record([], { edges }))).toMatchObject({
      closed: null,
      closedBefore: false,
      parted: ms(221),
      lost: 1,
    });
    const more = [...edges, edge(221.1, true, 0), edge(226, false, 0)];
    expect(read(record([], { edges: more }))).toMatchObject({ closed: null, lost: 1 });
  });

  it('between bounces cost some of them and are counted', () => {
    const edges = [edge(220, true, 0), edge(220.1, false, 3), edge(220.2, true, 0), edge(226, false, 0)];
    expect(read(record([], { edges }))).toMatchObject({ closed: ms(220), bounces: 1, lost: 3 });
  });
});

describe('against the light', () => {
  const openings: KnownOpening[] = [
    { shape: 'straight', rise: 0.002, open: 0.006, fall: 0.002 },
    { shape: 'squared', rise: 0.0014, open: 0.0013, fall: 0.0016 },
    { shape: 'squared', rise: 0.004, open: 0.1, fall: 0.003 },
  ];
  const grown = ({ shape }: KnownOpening, share: number) => (shape === 'straight' ? share : Math.sqrt(share));
  /** The firing with its contact `after` seconds past first light, and where first light is. */
  function withContact(opening: KnownOpening, after: number, seed: number) {
    const first = 0.22;
    const light = (time: number) => openFraction(opening, time - first);
    const firing = lightFiring(light, first + opening.rise + opening.open + opening.fall + 0.115, seed);
    const tick = (time: number) => ticks(Math.round(time * TICK_HZ));
    const contact = [
      { tick: tick(first + after), closed: true },
      { tick: tick(first + after + 0.005), closed: false },
    ];
    return { firing: { ...firing, contact }, first };
  }

  it.each(openings)('it tells when the blades were 80 and 90 % open, and 90 % on closing: %j', (opening) => {
    const { firing, first } = withContact(opening, 0.001, 5);
    const { contact } = measureFiring(firing, { reference: null });
    const near = (value: number | null, truth: number, within: number) =>
      expect(Math.abs(value! - first - truth)).toBeLessThan(within);
    // Slowest edge here: 0.5 % of light per 10 µs; noise of half a percent.
    near(contact!.open80, opening.rise * grown(opening, 0.8), 0.01 * opening.rise);
    near(contact!.open90, opening.rise * grown(opening, 0.9), 0.01 * opening.rise);
    const closing = opening.rise + opening.open + opening.fall * (1 - grown(opening, 0.9));
    near(contact!.closing90, closing, 0.01 * opening.fall);
    near(contact!.closed, 0.001, 1e-6);
  });

  it.each(openings)('it tells how far they were open at closure: %j', (opening) => {
    for (const share of [-3, 0.3, 0.75, 1.2]) {
      const { firing } = withContact(opening, share * opening.rise, 6);
      const { contact } = measureFiring(firing, { reference: null });
      expect(Math.abs(contact!.openAtClosure! - openFraction(opening, share * opening.rise))).toBeLessThan(
        0.012,
      );
    }
  });

  it('leaves out what the blades never reached', () => {
    const opening = openings[0]!;
    const first = 0.22;
    const light = (time: number) => 0.85 * openFraction(opening, time - first);
    const firing = {
      ...lightFiring(light, 0.36, 7),
      contact: [{ tick: ticks(Math.round(0.2215 * TICK_HZ)), closed: true }],
    };
    const reference = { height: 200, uncertainty: 0.1, firstTick: ticks(0), origin: 'slow firing' } as const;
    const { contact, levels } = measureFiring(firing, { reference });
    expect(levels!.openOrigin).toBe('reference');
    expect(contact).toMatchObject({
      open80: expect.closeTo(first + 0.8 * (0.002 / 0.85), 4),
      open90: null,
      closing90: null,
    });
  });

  it('has its instants by the corrected clock, as the light has', () => {
    const { firing } = withContact(openings[0]!, 0.001, 8);
    const plain = measureFiring(firing, { reference: null });
    const clock = { ppm: 5000, uncertainty: 1, observedSeconds: 60 };
    const corrected = measureFiring(firing, { reference: null, clock });
    for (const key of ['closed', 'parted', 'closedTime', 'open80', 'open90', 'closing90'] as const) {
      expect(corrected.contact![key]! * 1.005, key).toBeCloseTo(plain.contact![key]!, 7);
    }
    expect(corrected.contact!.closed! - corrected.instants!.halfOpen).toBeCloseTo(
      (plain.contact!.closed! - plain.instants!.halfOpen) / 1.005,
      7,
    );
  });

  it('keeps what the contact did where the light gives no time', () => {
    const { firing } = withContact(openings[0]!, 0.001, 9);
    const cut = { ...firing, samples: firing.samples.slice(0, 8600), truncated: 'end' } as const;
    expect(measureFiring(cut, { reference: null })).toMatchObject({
      total: null,
      contact: { closed: expect.closeTo(0.221, 6), open80: null, closing90: null },
    });
    const dark = { ...firing, samples: new Uint8Array(firing.samples.length).fill(12) };
    expect(measureFiring(dark, { reference: null }).contact).toMatchObject({
      closed: expect.closeTo(0.221, 6),
    });
  });

  it('is not read from a spoilt firing, nor where there is none', () => {
    const { firing } = withContact(openings[0]!, 0.001, 10);
    expect(measureFiring({ ...firing, spoilt: 'data missing' }, { reference: null }).contact).toBeNull();
    expect(measureFiring(knownFiring(openings[0]!, 10), { reference: null }).contact).toBeNull();
    expect(
      measureFiring({ ...knownFiring(openings[0]!, 10), contactClosedBefore: true }, { reference: null })
        .contact,
    ).toMatchObject({ closed: null, closedBefore: true });
  });

  it('counts from the opening where the board timed that itself', () => {
    const firing = firingOf(new Uint8Array(0), {
      firstTick: ticks(1000 * 16_000),
      ticksPerSample: 0,
      timed: { open: ticks(1000 * 16_000), close: ticks(1008 * 16_000) },
      contact: [{ tick: ticks(984 * 16_000), closed: true }],
    });
    const { contact, total } = measureFiring(firing, { reference: null });
    expect(total).toBeCloseTo(0.008, 12);
    expect(contact).toMatchObject({ parted: null, open80: null, openAtClosure: null, closedBefore: false });
    expect(contact!.closed).toBeCloseTo(-0.016, 12);
    expect(contact!.closedTime).toBeCloseTo(0.024, 12);
  });
});
