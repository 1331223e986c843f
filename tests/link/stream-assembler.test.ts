import { describe, expect, it } from 'vitest';
import type { StreamEvent } from '../../app/link/stream.ts';
import { StreamAssembler } from '../../app/link/stream-assembler.ts';
import type { Samples } from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { hello } from './fake-port.ts';

function assembler() {
  const events: StreamEvent[] = [];
  return { events, stream: new StreamAssembler(hello, (event) => events.push(event)) };
}

const block = (sequence: number, index: number, count: number, more: Partial<Samples> = {}): Samples => ({
  type: 'samples',
  sequence,
  index,
  tick: ticks((index * 52) % 2 ** 32),
  mask: 1,
  first: 0,
  lost: 0,
  values: Uint8Array.from({ length: count }, (_, i) => (index + i) & 0xff),
  ...more,
});

const kinds = (events: StreamEvent[]) => events.map((e) => (e.kind === 'gap' ? `gap: ${e.cause}` : e.kind));

describe('the stream', () => {
  it('goes on without a gap while number, index and tick continue', () => {
    const { events, stream } = assembler();
    stream.message(block(254, 0, 128));
    stream.message(block(255, 128, 128));
    stream.message(block(0, 256, 128));
    expect(kinds(events)).toEqual(['run', 'run', 'run']);
    expect(events.map((e) => e.kind === 'run' && e.firstTick)).toEqual([0, 128 * 52, 256 * 52]);
  });

  it('puts one gap where a frame is missing, whatever the frame was', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.message(block(2, 128, 128));
    expect(kinds(events)).toEqual(['run', 'gap: missing', 'run']);
  });

  it('puts a gap where the conversion index jumps although no frame is missing', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.message(block(1, 130, 128));
    expect(kinds(events)).toEqual(['run', 'gap: missing', 'run']);
  });

  it('puts a gap where the tick disagrees with the index', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.message(block(1, 128, 128, { tick: ticks(128 * 52 + 52) }));
    expect(kinds(events)).toEqual(['run', 'gap: overrun', 'run']);
  });

  it('gives no samples of a block inside which conversions were lost', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.message(block(1, 128, 128, { lost: 1 }));
    stream.message(block(2, 257, 128));
    expect(kinds(events)).toEqual(['run', 'gap: overrun', 'run']);
  });

  it('reports damage once and does not take the next number for a second loss', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.damaged();
    stream.message(block(2, 256, 128));
    expect(kinds(events)).toEqual(['run', 'gap: damaged', 'run']);
  });

  it('unwraps ticks over their 32 bits, and takes an edge a little before the block it falls in', () => {
    const { events, stream } = assembler();
    const start = 2 ** 32 - 128 * 52;
    stream.message(block(0, 1000, 128, { tick: ticks(start) }));
    stream.message({ type: 'edge', sequence: 1, input: 'contact', closed: true, tick: ticks(100), lost: 0 });
    stream.message(block(2, 1128, 128, { tick: ticks(0) }));
    stream.message({ type: 'edge', sequence: 3, input: 'release', closed: true, tick: ticks(50), lost: 0 });
    expect(events).toMatchObject([
      { kind: 'run', firstTick: start },
      { kind: 'contact', tick: 2 ** 32 + 100, closed: true },
      { kind: 'run', firstTick: 2 ** 32 },
      { kind: 'release', tick: 2 ** 32 + 50, pressed: true },
    ]);
  });

  it('makes no gap of edges that a bouncing contact cost: the light is whole', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.message({ type: 'edge', sequence: 1, input: 'contact', closed: true, tick: ticks(9), lost: 3 });
    stream.message(block(2, 128, 128));
    expect(kinds(events)).toEqual(['run', 'contact', 'run']);
    expect(events[1]).toMatchObject({ lost: 3 });
  });

  it('separates channels, each with its own first tick', () => {
    const { events, stream } = assembler();
    stream.message(
      block(0, 0, 7, { mask: 0b111, first: 1, values: Uint8Array.from([1, 2, 0, 11, 12, 10, 21]) }),
    );
    expect(events).toEqual([
      { kind: 'run', channel: 1, firstTick: 0, ticksPerSample: 156, values: Uint8Array.from([1, 11, 21]) },
      { kind: 'run', channel: 2, firstTick: 52, ticksPerSample: 156, values: Uint8Array.from([2, 12]) },
      { kind: 'run', channel: 0, firstTick: 104, ticksPerSample: 156, values: Uint8Array.from([0, 10]) },
    ]);
  });

  it('takes an unknown message as one that went by', () => {
    const { events, stream } = assembler();
    stream.message(block(0, 0, 128));
    stream.skipped(1);
    stream.message(block(2, 128, 128));
    expect(kinds(events)).toEqual(['run', 'run']);
  });

  it('takes nothing that its board can not have sent', () => {
    const { events, stream } = assembler(); // samples, channels 0 to 2
    stream.message(block(0, 0, 128));
    const opening = { type: 'shutter', channel: 0, open: ticks(1000), close: ticks(9000), lost: 0 } as const;
    stream.message({ ...opening, sequence: 1 });
    stream.message(block(2, 128, 128));
    stream.message(block(3, 256, 128, { mask: 0b1001 }));
    stream.message(block(4, 384, 128));
    expect(kinds(events)).toEqual(['run', 'gap: damaged', 'run', 'gap: damaged', 'run']);

    const edges = new StreamAssembler(
      { ...hello, kind: 'edges', ticksPerConversion: 0, channels: 1 },
      (event) => events.push(event),
    );
    events.length = 0;
    edges.message({ ...opening, sequence: 0 });
    edges.message({ ...opening, sequence: 1, channel: 1 });
    edges.message(block(2, 0, 128));
    expect(kinds(events)).toEqual(['timed opening', 'gap: damaged', 'gap: damaged']);
  });
});
