/**
 * The practice shutter's contact through everything between it and what is said of it: the real firmware, the
 * wire, the link, the finder, the measurement, the verdict. The truth is the shutter's own plan.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { flashSync } from '../../app/judge/flash-sync.ts';
import type { StreamEvent } from '../../app/link/stream.ts';
import { ContactLeadTest } from '../../app/measure/contact-lead.ts';
import { ContactState } from '../../app/measure/contact-state.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import { edgeInstant } from '../../app/practice/firing-plan.ts';
import type { PracticeSync } from '../../app/practice/flash-contact.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { TESTER_HEX } from '../practice/tester-firmware.ts';
import { ReadingChain } from './reading-chain.ts';

const TICK = 0.5e-6;
/** Ticks within which an instant of the contact must lie: its tick, and the one that the record begins at. */
const FEW_TICKS = 3 * TICK;
const FLASH = seconds(0.001);

class Bench {
  readonly core: PracticeCore;
  readonly chain: ReadingChain;
  readonly contact = new ContactState({ tickHz: 2_000_000 });
  readonly events: StreamEvent[] = [];

  constructor(seed: number, begin: (core: PracticeCore) => void = () => {}) {
    this.core = new PracticeCore({ image: TESTER_HEX, seed });
    this.chain = new ReadingChain(null, (event) => {
      this.contact.take(event);
      if (event.kind !== 'run') this.events.push(event);
    });
    begin(this.core);
    this.run(0.125);
    this.core.write(encodeCommand({ type: 'start', tag: 1 }));
    this.run(0.15);
  }

  run(time: number): void {
    this.core.run(this.core.cycle + time * CLOCK_HZ);
    this.chain.push(this.core.takeBytes());
  }

  fire(mark: string, condition: ShutterCondition, sync: PracticeSync) {
    this.core.setDial(mark);
    this.core.setCondition(condition);
    this.core.setSync(sync);
    this.core.fire();
    this.run(0.35);
    return { truth: this.core.firings.at(-1)!, ...this.chain.readings.at(-1)! };
  }
}

const CASES = [
  { mark: '1/15', condition: 'serviced', sync: 'X', verdict: 'in time' },
  { mark: '1/125', condition: 'serviced', sync: 'X', verdict: 'in time' },
  { mark: '1/500', condition: 'serviced', sync: 'X', verdict: 'in time' },
  { mark: '1/125', condition: 'serviced', sync: 'M', verdict: 'in time' },
  { mark: '1/500', condition: 'serviced', sync: 'M', verdict: 'in time' },
  { mark: '1/125', condition: 'contact bounces', sync: 'X', verdict: 'in time' },
  { mark: '1/60', condition: 'flash contact late', sync: 'X', verdict: 'in time' },
  { mark: '1/125', condition: 'flash contact late', sync: 'X', verdict: 'too late' },
  { mark: '1/60', condition: 'contact dead', sync: 'X', verdict: 'never closed' },
] as const;

describe('the flash contact, from the shutter to the verdict', () => {
  let bench: Bench;
  let fired: ReturnType<Bench['fire']>[];
  beforeAll(() => {
    bench = new Bench(71);
    bench.fire('1/15', 'serviced', 'X'); // the open level for the fast ones
    fired = CASES.map(({ mark, condition, sync }) => bench.fire(mark, condition, sync));
  });

  it.each(CASES.map((one, n) => ({ ...one, n })))(
    '$sync at $mark, $condition: $verdict',
    ({ sync, verdict, n }) => {
      const { truth, figures, kind } = fired[n]!;
      const { plan } = truth;
      expect(kind).toBe('firing');
      const found = figures.contact;
      const result = flashSync({
        setting: sync,
        flashDuration: FLASH,
        leadWorks: true,
        readings: [{ figures, setAside: null }],
      });
      expect(result.verdict).toBe(verdict);
      if (plan.contact.length === 0) {
        expect(found).toBeNull();
        return;
      }
      // First light is not an instant that is read; the contact's own instants are counted from the first closure.
      const times = plan.contact.map(({ at }) => at - plan.contact[0]!.at);
      const within = (value: number, truth: number, limit: number, what: string) =>
        expect(Math.abs(value - truth), what).toBeLessThan(limit);
      within(found!.parted! - found!.closed!, times.at(-1)!, FEW_TICKS, 'parted');
      const breaks = times.length / 2 - 1;
      expect(found!.bounces).toBe(breaks);
      within(found!.bounceTime, times.at(-2)!, FEW_TICKS, 'bounces end');
      let closedTime = 0;
      for (let n = 0; n < times.length; n += 2) closedTime += times[n + 1]! - times[n]!;
      within(found!.closedTime, closedTime, times.length * TICK, 'closed time');
      expect(found).toMatchObject({ closedBefore: false, lost: 0 });
      // Against the light: the instants of 80 and 90 %, within the noise of a local fit on edges of 1.4 and 1.6 ms.
      const lead = edgeInstant(plan.opening, 0.8) - plan.contact[0]!.at;
      within(found!.open80! - found!.closed!, lead, 12e-6, '80 % open');
      within(
        found!.open90! - found!.closed!,
        edgeInstant(plan.opening, 0.9) - plan.contact[0]!.at,
        12e-6,
        '90 % open',
      );
      const closing90 =
        plan.opening.duration + plan.fullyOpen + plan.closing.duration - edgeInstant(plan.closing, 0.9);
      within(found!.closing90! - found!.closed!, closing90 - plan.contact[0]!.at, 12e-6, 'closed to 90 %');
      within(result.lead!.mean, lead, 12e-6, 'lead');
    },
  );

  it('leaves the light’s own figures as they are', () => {
    for (const { truth, figures } of fired) {
      expect(Math.abs(figures.effective! - truth.effectiveTime)).toBeLessThan(
        20e-6 + 2e-4 * truth.effectiveTime,
      );
    }
  });
});

describe('the contact lead, from the hand to the verdict', () => {
  /** Watches from now on while `work` is done. */
  function tested(bench: Bench, work: () => void) {
    const test = new ContactLeadTest({ tickHz: 2_000_000, closed: bench.contact.closed });
    const before = bench.events.length;
    work();
    for (const event of bench.events.slice(before)) test.take(event);
    return test.result();
  }

  it('passes one that closes when the contact is touched, and tells it from one that isn’t plugged in', () => {
    const bench = new Bench(72);
    bench.run(0.5);
    expect(bench.contact.closed).toBe(false);
    const touch = () => {
      bench.core.touchContact(0.1);
      bench.run(0.2);
    };
    expect(tested(bench, touch)).toMatchObject({ state: 'works', closures: 1, bounces: 1 });
    bench.core.setLead('not plugged in');
    expect(tested(bench, touch)).toMatchObject({ state: 'never closed', closures: 0 });
    const { figures } = bench.fire('1/60', 'serviced', 'X');
    expect(figures.contact).toBeNull();
    bench.core.setLead('short circuit');
    bench.run(0.05);
    expect(tested(bench, touch)).toMatchObject({ state: 'always closed' });
    const closed = bench.fire('1/60', 'serviced', 'X');
    expect(closed.figures.contact).toMatchObject({ closed: null, closedBefore: true, parted: null });
  });

  it('recognises a short circuit that was there before the board was plugged in', () => {
    const bench = new Bench(73, (core) => core.setLead('short circuit'));
    bench.run(0.4);
    expect(bench.contact.closed).toBe(true);
    expect(tested(bench, () => bench.run(0.1))).toMatchObject({ state: 'always closed' });
  });
});
