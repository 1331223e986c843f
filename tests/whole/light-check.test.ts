/** The light check in front of the practice bench's lamp: what was set is found. */
import { describe, expect, it } from 'vitest';
import { LightCheck } from '../../app/measure/light-check.ts';
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { type LightLevels, PRACTICE_LIGHT } from '../../app/practice/light.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { SLEEPING_HEX } from '../practice/tester-firmware.ts';

const CYCLES_PER_SAMPLE = 416;
const OPEN_SECONDS = 11;

function checked(light: LightLevels) {
  const core = new PracticeCore({ image: SLEEPING_HEX, seed: 21, light });
  const check = new LightCheck({ secondsPerSample: CYCLES_PER_SAMPLE / CLOCK_HZ, fullScale: 255 });
  const samples = (seconds: number) => {
    const from = core.cycle;
    const count = Math.round((seconds * CLOCK_HZ) / CYCLES_PER_SAMPLE);
    const values = Uint8Array.from({ length: count }, (_, i) =>
      Math.min(255, Math.max(0, Math.floor(core.lightAt(0, from + i * CYCLES_PER_SAMPLE) / 4))),
    );
    core.run(from + seconds * CLOCK_HZ);
    return values;
  };
  check.addDark(samples(1.1));
  core.holdOpen(OPEN_SECONDS);
  samples(0.1);
  check.addOpen(samples(OPEN_SECONDS - 0.5));
  return check.result();
}

describe("light check of the practice bench's lamp", () => {
  it('passes it as it is', () => {
    const result = checked(PRACTICE_LIGHT);
    expect(result.problems).toEqual([]);
    expect(result.flicker).toBeNull();
    expect(Math.abs(result.height - (PRACTICE_LIGHT.open - PRACTICE_LIGHT.dark))).toBeLessThan(0.05);
  });

  it('finds its flicker and its drift', () => {
    const result = checked({
      ...PRACTICE_LIGHT,
      flicker: { hertz: 120, amplitude: 0.03 },
      driftPerMinute: -0.02,
    });
    expect(result.problems).toEqual(['flicker', 'drift']);
    expect(result.flicker!.hertz).toBe(120);
    expect(result.flicker!.amplitude).toBeCloseTo(0.03, 3);
    expect(result.drift!.perMinute).toBeCloseTo(-0.02, 3);
  });

  it('finds it too bright and too weak', () => {
    expect(checked({ ...PRACTICE_LIGHT, open: 250 }).problems).toEqual(['too bright']);
    expect(checked({ ...PRACTICE_LIGHT, open: 60 }).problems).toEqual(['weak']);
  });
});
