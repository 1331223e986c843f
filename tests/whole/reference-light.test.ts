/**
 * The check with the reference light through the real firmware: the emulated board gives the pulses on D9, the LED
 * lights the sensor, and what is read is compared with the ticks that the board tells.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { StreamAssembler } from '../../app/link/stream-assembler.ts';
import { ReferenceLightCheck } from '../../app/measure/reference-light.ts';
import { REFERENCE_LIGHT_PLAN } from '../../app/measure/reference-light-plan.ts';
import { referenceLightSentence } from '../../app/measure/reference-light-sentences.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { type LightLevels, PRACTICE_LIGHT } from '../../app/practice/light.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Command } from '../../firmware-protocol/messages.ts';
import { START_UP, TESTER_HEX } from '../practice/tester-firmware.ts';

const PER_MILLISECOND = CLOCK_HZ / 1000;

/** Runs the whole check, or its first trains, as the page would. */
function checked(light: LightLevels, trains = REFERENCE_LIGHT_PLAN.length) {
  const core = new PracticeCore({ image: TESTER_HEX, seed: 11, light });
  const reader = new MessageReader();
  const check = new ReferenceLightCheck({
    tickHz: 2_000_000,
    ticksPerSample: 52,
    fullScale: 255,
    channel: 0,
  });
  let assembler: StreamAssembler | null = null;
  let tag = 0;
  const send = (command: Command) => core.write(encodeCommand(command));
  const runFor = (milliseconds: number) => {
    core.run(core.cycle + milliseconds * PER_MILLISECOND);
    reader.push(
      core.takeBytes(),
      (message) => {
        if (message.type === 'hello')
          assembler ??= new StreamAssembler(message, (event) => check.take(event));
        else assembler?.message(message);
      },
      (damage) => {
        throw new Error(damage.cause);
      },
    );
  };
  runFor(START_UP / PER_MILLISECOND);
  send({ type: 'start', tag: ++tag });
  runFor(20);
  let sent = 0;
  while (!check.done && sent <= trains) {
    const order = check.nextOrder();
    if (order !== null && ++sent <= trains) send({ type: 'pulses', tag: ++tag, ...order });
    runFor(10);
  }
  return { check, seconds: core.cycle / CLOCK_HZ };
}

describe('reference light through the real firmware', () => {
  let whole: ReturnType<typeof checked>;
  beforeAll(() => {
    whole = checked(PRACTICE_LIGHT);
  });

  it('reads every length from 0.5 to 500 ms within its limit', () => {
    const { check, seconds } = whole;
    expect(seconds).toBeLessThan(12);
    expect(check.part).toBe(1);
    const { pulses, limit, passed } = check.result();
    expect(pulses.map(({ length, count }) => ({ length, count }))).toEqual(REFERENCE_LIGHT_PLAN);
    for (const { error, length } of pulses) {
      expect(Math.abs(error)).toBeLessThan(limit.seconds + limit.share * length);
    }
    expect(passed).toBe(true);
    expect(referenceLightSentence(check.result())).toMatch(
      /^Pulses from 0.500 ms to 500 ms read true: at worst/,
    );
  });

  it('reads the short ones to a microsecond, though a single one may be off by ten', () => {
    for (const { length, error, sd } of whole.check.result().pulses) {
      if (length > 0.02) continue;
      expect(Math.abs(error)).toBeLessThan(1.5e-6);
      // Lengths of 19.2 and more samples: single pulses read one sample of 26 µs more or less.
      expect(sd).toBeGreaterThan(5e-6);
      expect(sd).toBeLessThan(15e-6);
    }
  });

  it('does not mind a sensor that lags, for the area stays', () => {
    const { check } = checked({ ...PRACTICE_LIGHT, detectorLag: 100e-6 }, 5);
    const { pulses, passed } = check.result();
    expect(pulses.map(({ length }) => length)).toEqual([0.0005, 0.001, 0.002, 0.005, 0.01]);
    for (const { error, within } of pulses) {
      expect(within).toBe(true);
      expect(Math.abs(error)).toBeLessThan(2e-6);
    }
    expect(passed).toBe(false);
  });
});
