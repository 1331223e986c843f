import { describe, expect, it } from 'vitest';
import type { StreamEvent } from '../../app/link/stream.ts';
import { ReferenceLightCheck } from '../../app/measure/reference-light.ts';
import {
  orderTicks,
  type PulseOrder,
  pulseOrder,
  REFERENCE_LIGHT_PLAN,
} from '../../app/measure/reference-light-plan.ts';
import {
  referenceLightObstacleSentence,
  referenceLightSentence,
} from '../../app/measure/reference-light-sentences.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { seededRandom } from '../seeded-random.ts';
import { seededNormal } from './known-light.ts';

const TICK_HZ = 2_000_000;
const BLOCK = 128;
const DARK = 9.4;

interface BoardOptions {
  readonly height?: number;
  readonly noise?: number;
  readonly ticksPerSample?: number;
  /** Light of a pulse, 0 to 1, so many ticks after its rise. */
  readonly shape?: (sinceRise: number, width: number) => number;
  /** Blocks by which pulse messages are late. */
  readonly lateness?: number;
  /** Pulses, counted over all trains, that the board does not tell of. */
  readonly untold?: (n: number) => boolean;
  /** A gap instead of this block. */
  readonly lost?: (block: number) => boolean;
}

const rectangle = (sinceRise: number, width: number) => (sinceRise >= 0 && sinceRise < width ? 1 : 0);

/** Runs a whole check on a board that is nothing but its samples and its pulses. */
function checked(options: BoardOptions = {}) {
  const { height = 180, noise = 0.8, ticksPerSample = 52, shape = rectangle, lateness = 0 } = options;
  const { untold = () => false, lost = () => false } = options;
  const normal = seededNormal(seededRandom(3));
  const check = new ReferenceLightCheck({ tickHz: TICK_HZ, ticksPerSample, fullScale: 255, channel: 1 });
  const orders: PulseOrder[] = [];
  let pulses: { rise: number; width: number }[] = [];
  let told: { due: number; event: StreamEvent }[] = [];
  let count = 0;
  let tick = 1000;
  for (let block = 0; !check.done; block++) {
    const order = check.nextOrder();
    if (order) {
      orders.push(order);
      const { width, gap } = order;
      pulses = Array.from({ length: order.count }, (_, n) => ({
        rise: tick + 777 + n * (width + gap),
        width,
      }));
      for (const { rise } of pulses) {
        const event: StreamEvent = { kind: 'pulse', rise: ticks(rise), fall: ticks(rise + width) };
        const due = Math.floor((rise + width - tick) / (BLOCK * ticksPerSample)) + block + lateness;
        if (!untold(count++)) told.push({ due, event });
      }
    }
    const values = new Uint8Array(BLOCK);
    for (let i = 0; i < BLOCK; i++) {
      const now = tick + i * ticksPerSample;
      let light = 0;
      for (const { rise, width } of pulses)
        if (now >= rise && now < rise + width + 40_000) light += shape(now - rise, width);
      values[i] = Math.min(255, Math.max(0, Math.floor(DARK + height * light + noise * normal())));
    }
    check.take(
      lost(block)
        ? { kind: 'gap', cause: 'damaged' }
        : { kind: 'run', channel: 1, firstTick: ticks(tick), ticksPerSample, values },
    );
    check.take({
      kind: 'run',
      channel: 0,
      firstTick: ticks(tick),
      ticksPerSample,
      values: values.map(() => 90),
    });
    for (const { due, event } of told) if (due <= block) check.take(event);
    told = told.filter(({ due }) => due > block);
    tick += BLOCK * ticksPerSample;
    // What has been over for long lights nothing any more.
    pulses = pulses.filter(({ rise, width }) => rise + width + 40_000 > tick);
    if (block > 20_000) throw new Error('The check does not end.');
  }
  return { check, orders, seconds: tick / TICK_HZ };
}

describe('plan of the reference light', () => {
  it('takes some nine seconds', () => {
    const all = REFERENCE_LIGHT_PLAN.map((train) => orderTicks(pulseOrder(train, TICK_HZ, 52)));
    expect(all.reduce((sum, n) => sum + n, 0) / TICK_HZ).toBeLessThan(10);
  });

  it.each([52, 104, 156])('meets phases evenly spread over a sample of %i ticks', (ticksPerSample) => {
    for (const train of REFERENCE_LIGHT_PLAN) {
      const { width, gap, count } = pulseOrder(train, TICK_HZ, ticksPerSample);
      expect(width).toBe(train.length * TICK_HZ);
      expect(gap / TICK_HZ).toBeGreaterThanOrEqual(0.008);
      expect(gap / TICK_HZ).toBeLessThan(0.0082);
      const phases = Array.from({ length: count }, (_, n) => (n * (width + gap)) % ticksPerSample);
      const sorted = phases.sort((a, b) => a - b);
      expect(sorted).toEqual(Array.from({ length: count }, (_, n) => (n * ticksPerSample) / count));
    }
  });

  it('is one that a board takes: at most 255 pulses, widths and gaps of 200 ticks and more', () => {
    for (const train of REFERENCE_LIGHT_PLAN) {
      const { width, gap, count } = pulseOrder(train, TICK_HZ, 52);
      expect(Math.min(width, gap)).toBeGreaterThanOrEqual(200);
      expect(count).toBeLessThanOrEqual(255);
    }
  });
});

describe('check with the reference light', () => {
  it('asks for one train after the other and passes a sound sensor', () => {
    const { check, orders, seconds } = checked();
    expect(orders).toEqual(REFERENCE_LIGHT_PLAN.map((train) => pulseOrder(train, TICK_HZ, 52)));
    expect(seconds).toBeLessThan(10);
    expect(check.nextOrder()).toBeNull();
    const result = check.result();
    expect(result.passed).toBe(true);
    expect(result.pulses.map(({ length, count }) => ({ length, count }))).toEqual(REFERENCE_LIGHT_PLAN);
    for (const { error, length } of result.pulses) {
      expect(Math.abs(error)).toBeLessThan(1.5e-6 + 3e-5 * length);
    }
    expect(referenceLightSentence(result)).toMatch(/^Pulses from 0\.500 ms to 500 ms read true/);
  });

  it('does not mind messages that come long after their samples', () => {
    const { pulses, passed } = checked({ lateness: 60 }).check.result();
    expect(pulses.map(({ length, count }) => ({ length, count }))).toEqual(REFERENCE_LIGHT_PLAN);
    expect(passed).toBe(true);
  });

  it('works on a channel that is sampled in turn with two others', () => {
    const { check } = checked({ ticksPerSample: 156 });
    expect(check.result().passed).toBe(true);
  });

  it('loses the pulses that a gap touches, and no others', () => {
    const { check } = checked({ lost: (block) => block === 60 });
    const { pulses, passed } = check.result();
    expect(passed).toBe(true);
    const missing = REFERENCE_LIGHT_PLAN.map(({ count }, n) => count - pulses[n]!.count);
    expect(missing.reduce((sum, n) => sum + n, 0)).toBeGreaterThanOrEqual(1);
    expect(missing.reduce((sum, n) => sum + n, 0)).toBeLessThanOrEqual(3);
  });

  it('goes on when the board leaves out messages, and says when too many are missing', () => {
    const few = checked({ untold: (n) => n % 10 === 3 }).check.result();
    expect(few.pulses[0]!.count).toBe(47);
    expect(few.passed).toBe(true);
    const many = checked({ untold: (n) => n < 30 }).check.result();
    expect(many.pulses[0]).toMatchObject({ count: 22, within: false });
    expect(many.passed).toBe(false);
    expect(referenceLightSentence(many)).toMatch(/^30 pulses were lost on the line/);
  });

  it('sees a sensor with a tail: every length reads long', () => {
    // Falls off with 0.15 ms but rises at once: 0.15 ms more light.
    const tail = (sinceRise: number, width: number) =>
      sinceRise < width ? 1 : Math.exp(-(sinceRise - width) / 300);
    const result = checked({ shape: tail }).check.result();
    expect(result.passed).toBe(false);
    for (const { error } of result.pulses) expect(error).toBeCloseTo(150e-6, 5);
    expect(referenceLightSentence(result)).toMatch(/read 1\d\d\.\d µs long, .*photodiode/);
  });

  it('sees light that comes late: every length reads short', () => {
    const late = (sinceRise: number, width: number) => rectangle(sinceRise - 40, width - 40);
    const result = checked({ shape: late }).check.result();
    expect(result.passed).toBe(false);
    expect(result.pulses[0]!.error).toBeCloseTo(-20e-6, 5);
    // 20 µs are within 3 µs + 0.1 % of half a second.
    expect(result.pulses.at(-1)!.within).toBe(true);
    expect(referenceLightSentence(result)).toMatch(/Pulses of 0\.500 ms read \d\d\.\d µs short, .*LED/);
  });

  it('does not mind an LED that loses some of its light as it warms', () => {
    const warming = (sinceRise: number, width: number) =>
      rectangle(sinceRise, width) * (1 - 5e-9 * sinceRise);
    expect(checked({ shape: warming }).check.result().passed).toBe(true);
  });

  it.each([
    ['no light', { height: 10 }, /does not see the reference light/],
    ['too bright', { height: 300 }, /top of its range/],
    ['no pulses', { untold: () => true }, /told of no pulse/],
  ] as const)('has no result: %s', (obstacle, options, sentence) => {
    const { check } = checked(options);
    expect(check.obstacle).toBe(obstacle);
    expect(() => check.result()).toThrow(RangeError);
    expect(referenceLightObstacleSentence(obstacle)).toMatch(sentence);
  });

  it('does not take a train that was cut short for a planned length', () => {
    const check = new ReferenceLightCheck({
      tickHz: TICK_HZ,
      ticksPerSample: 52,
      fullScale: 255,
      channel: 0,
    });
    check.nextOrder();
    check.take({
      kind: 'run',
      channel: 0,
      firstTick: ticks(0),
      ticksPerSample: 52,
      values: new Uint8Array(3000),
    });
    expect(check.nextOrder()).toMatchObject({ width: 1000, count: 52 });
    check.take({ kind: 'pulse', rise: ticks(40_000), fall: ticks(40_700) });
    expect(check.obstacle).toBe('no pulses');
    expect(check.part).toBeGreaterThan(0);
    expect(check.part).toBeLessThan(0.01);
  });
});
