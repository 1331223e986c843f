import { encodeCommand } from '../../firmware-protocol/commands.ts';
import type { Command, Message, Samples } from '../../firmware-protocol/messages.ts';
import { busyShare, firmwareSymbols } from '../firmware-protocol/processor-share.ts';
import {
  CYCLES_PER_CONVERSION,
  CYCLES_PER_MILLISECOND,
  CYCLES_PER_TICK,
  TestBoard,
} from '../firmware-protocol/test-board.ts';
import { seededRandom } from '../seeded-random.ts';

const SECOND = 1000 * CYCLES_PER_MILLISECOND;
const EDGES_A_SECOND = 100;
/** Bounces of a contact come closer together than its closings; closer than this they may be lost (README.md). */
const CLOSEST_EDGES = 0.00003 * SECOND;
const LATEST_TICK = CYCLES_PER_TICK;
/** Codes the light runs through, one for each conversion: a sample lost or taken twice shifts all that follow. */
const CODES = 251;

/** What the board has told, checked as it comes. */
class Account {
  readonly counts = { blocks: 0, conversions: 0, wrongSamples: 0, edges: 0, replies: 0, damages: 0, gaps: 0 };
  worstEdge = 0;
  lostEdges = 0;
  readonly #made: number[] = [];
  #edgesBefore = 0;
  #nextIndex = 0;
  #code: number | null = null;
  #sequence: number | null = null;
  /** Cycle at which tick 0 was, by the first block: within one tick. */
  readonly #tickZero: number;

  constructor(tickZero: number) {
    this.#tickZero = tickZero;
  }

  madeEdge(cycle: number): void {
    this.#made.push(cycle);
  }

  take(message: Message): void {
    if (this.#sequence !== null && message.sequence !== ((this.#sequence + 1) & 0xff)) this.counts.gaps++;
    this.#sequence = message.sequence;
    if (message.type === 'samples') this.#block(message);
    if (message.type === 'reply' && message.result === 0) this.counts.replies++;
    if (message.type === 'edge' && message.input === 'contact') {
      const made = this.#made[this.#edgesBefore++]!;
      // Ticks are 32 bits and begin anew after 35 minutes.
      const cycle = this.#tickZero + message.tick * CYCLES_PER_TICK;
      const wrap = 2 ** 32 * CYCLES_PER_TICK;
      const late = cycle - made - Math.round((cycle - made) / wrap) * wrap;
      this.worstEdge = Math.max(this.worstEdge, Math.abs(late));
      this.lostEdges += message.lost;
      this.counts.edges++;
    }
  }

  #block(block: Samples): void {
    this.counts.blocks++;
    this.counts.conversions += block.values.length;
    if (block.index !== this.#nextIndex >>> 0 || block.lost > 0) this.counts.gaps++;
    this.#nextIndex = block.index + block.values.length;
    for (const value of block.values) {
      if (this.#code !== null && value !== this.#code) this.counts.wrongSamples++;
      this.#code = (value + 1) % CODES;
    }
  }
}

/**
 * The board at the fast rate for so many emulated minutes, with contact edges at random times, 100 in each second, and a
 * command every 100 ms on average: nothing may be lost, every sample must be the right conversion and every edge within
 * one tick.
 */
export function fastRateRuns(minutes: number): boolean {
  const random = seededRandom(20261201);
  const apart = CYCLES_PER_CONVERSION.fast;
  const test = new TestBoard({
    rate: 'fast',
    light: (_, cycle) => 4 * (Math.floor(cycle / apart) % CODES) + 2,
  });
  test.greet();
  const tickZero = test.findTickZero();
  test.ask({ type: 'start' });
  test.read();
  const account = new Account(tickZero);
  const early = test.messages.filter((message) => message.type === 'samples');
  for (const message of early) account.take(message);
  test.forget();

  const types = ['hello', 'start', 'channels', 'hello', 'pulses', 'serial'] as const;
  let asked = 0;
  let closed = false;
  let release = false;
  let nextEdge = test.board.cycle + SECOND / EDGES_A_SECOND;
  let nextCommand = test.board.cycle + 0.1 * SECOND;
  for (let second = 0; second < 60 * minutes; second++) {
    const end = test.board.cycle + SECOND;
    release = !release;
    test.board.setRelease(release, Math.floor(test.board.cycle + random() * SECOND));
    for (; nextEdge < end; nextEdge += CLOSEST_EDGES - Math.log(1 - random()) * (SECOND / EDGES_A_SECOND)) {
      if (nextEdge < test.board.cycle) continue;
      closed = !closed;
      const cycle = Math.floor(nextEdge);
      test.board.setContact(closed, cycle);
      account.madeEdge(cycle);
    }
    for (; nextCommand < end; nextCommand += (0.05 + 0.1 * random()) * SECOND) {
      test.board.run(nextCommand);
      const tag = asked & 0xff;
      const type = types[asked++ % types.length]!;
      const command = { type, tag, mask: 1, width: 200, gap: 200, count: 1, serial: `S${tag}` } as Command;
      test.send(encodeCommand(command));
    }
    test.run((end - test.board.cycle) / CYCLES_PER_MILLISECOND);
    for (const message of test.messages) account.take(message);
    account.counts.damages += test.damage.length;
    test.damage.length = 0;
    test.forget();
  }
  test.run(600);
  for (const message of test.messages) account.take(message);
  const status = test.of('status').at(-1)!;
  const { counts } = account;
  const share = busyShare(test.board, firmwareSymbols(), SECOND);
  console.log(
    `  ${minutes} min at 76.92 kS/s: ${counts.conversions} samples in ${counts.blocks} blocks, ` +
      `${counts.wrongSamples} of them wrong, ${counts.gaps} gaps, ${counts.damages} damaged frames, ` +
      `${status.overruns} overruns`,
  );
  console.log(
    `  ${counts.edges} contact edges, ${account.lostEdges} lost, the worst ${(account.worstEdge / 16).toFixed(2)} µs off; ` +
      `${asked} commands, ${counts.replies} answered with done, ${status.commandBytesLost} bytes lost`,
  );
  console.log(`  processor busy ${(100 * share).toFixed(1)} % of the time`);
  const lost = counts.wrongSamples + counts.gaps + counts.damages + status.overruns;
  const edgesLost = account.lostEdges + status.edgesLost;
  const expected = Math.floor((60 * minutes * SECOND) / apart);
  return (
    lost === 0 &&
    edgesLost === 0 &&
    account.worstEdge <= LATEST_TICK &&
    counts.replies === asked &&
    counts.conversions > 0.999 * expected
  );
}
