/**
 * How fast the practice board runs: the committed firmware, streaming, in front of the practice shutter, in
 * slices as its worker takes them.
 */
import { CLOCK_HZ } from '../../app/practice/board.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import { Listener, START_UP, TESTER_HEX } from '../practice/tester-firmware.ts';
import type { Figure } from './figure.ts';
import { median, rounded, takeTurns } from './rounds.ts';

const ROUNDS = 9;
/** Emulated time of one round, in slices of 4 ms: the worker's pause. */
const ROUND_CYCLES = CLOCK_HZ;
const SLICE_CYCLES = CLOCK_HZ / 250;
const LEAST_SAMPLES = 38_000;

export async function measurePracticeBoard(): Promise<readonly Figure[]> {
  const core = new PracticeCore({ image: TESTER_HEX, seed: 20261125 });
  const listener = new Listener(core);
  listener.runFor(START_UP);
  for (const type of ['hello', 'start'] as const) {
    listener.ask((bytes) => core.write(bytes), { type, tag: 1 });
  }
  const second = () => {
    core.fire();
    const end = core.cycle + ROUND_CYCLES;
    const bytes: Uint8Array[] = [];
    while (core.cycle < end) {
      core.run(core.cycle + SLICE_CYCLES);
      bytes.push(core.takeBytes());
    }
    const sent = bytes.reduce((sum, { length }) => sum + length, 0);
    if (sent < LEAST_SAMPLES) throw new Error(`The board did not stream: ${sent} bytes in one second`);
  };
  const { streaming } = takeTurns({ streaming: second }, ROUNDS);
  const megahertz = (time: number) => ROUND_CYCLES / time / 1e3;
  const speed = megahertz(median(streaming));
  const detail = `best ${rounded(megahertz(Math.min(...streaming)))} MHz`;
  return [
    { quantity: 'practice board', value: speed, unit: 'MHz', expectation: null, detail },
    {
      quantity: 'practice board ÷ real time',
      value: (speed * 1e6) / CLOCK_HZ,
      unit: '×',
      expectation: { least: 2 },
      detail: 'real time is 16 MHz',
    },
  ];
}
