/**
 * `npm run --silent replay -- FILE`: reads a recording, or a file of nothing but the board's bytes, and
 * prints one JSON object per firing. Times in seconds; null where a figure could not be had.
 */
import { readFileSync } from 'node:fs';
import { MessageReader } from '../firmware-protocol/decode.ts';
import type { Hello } from '../firmware-protocol/messages.ts';
import { decodeRecording, RecordingError } from './link/recording.ts';
import { assumedHello } from './link/replay-port.ts';
import { StreamAssembler } from './link/stream-assembler.ts';
import type { Firing, ReferenceLevel } from './measure/figures.ts';
import { FiringFinder } from './measure/firing-finder.ts';
import { measureFiring } from './measure/measure-firing.ts';
import { nextReference } from './measure/reference-level.ts';

/** Reads the whole file and prints its firings. @throws RecordingError if the file is no recording. */
function replay(file: Uint8Array, print: (line: string) => void): void {
  const { header, chunks } = decodeRecording(file);
  const references = new Map<number, ReferenceLevel | null>();
  let assembler: StreamAssembler | null = null;

  const measured = (firing: Firing) => {
    const reference = references.get(firing.channel) ?? null;
    const figures = measureFiring(firing, { reference });
    references.set(firing.channel, nextReference(reference, firing, figures));
    print(
      JSON.stringify({
        channel: firing.channel,
        startSeconds: firing.firstTick / firing.tickHz + (figures.instants?.firstLight ?? 0),
        effectiveSeconds: figures.effective,
        halfHeightSeconds: figures.halfHeight,
        totalSeconds: figures.total,
        efficiency: figures.efficiency,
        openLevel: figures.levels?.openOrigin ?? null,
        spoilt: firing.spoilt,
        remarks: figures.remarks.map((remark) => remark.code),
      }),
    );
  };
  const begin = (hello: Hello) => {
    references.clear();
    const finder = new FiringFinder({ tickHz: hello.tickHz, fullScale: 2 ** hello.bits - 1 });
    assembler = new StreamAssembler(hello, (event) => {
      for (const found of finder.push(event))
        if ('firing' in found && found.kind !== 'provisional') measured(found.firing);
    });
  };
  if (header.hello) begin(header.hello);
  const reader = new MessageReader();
  for (const { bytes } of chunks)
    reader.push(
      bytes,
      (message) => {
        if (message.type === 'hello') begin(message);
        else {
          if (!assembler) begin(assumedHello);
          assembler!.message(message);
        }
      },
      () => assembler?.damaged(),
      (unknown) => assembler?.skipped(unknown.sequence),
    );
  if (reader.counts.messages === 0)
    throw new RecordingError('There is no message from a Leafclock board in this file.');
  const { length, coding, crc, malformed } = reader.counts;
  const damaged = length + coding + crc + malformed;
  if (damaged > 0) console.error(`${damaged} damaged frames; firings they touch are spoilt.`);
}

const [path] = process.argv.slice(2);
if (path === undefined) {
  console.error('Which file? npm run --silent replay -- FILE');
  process.exitCode = 1;
} else {
  try {
    replay(readFileSync(path), (line) => process.stdout.write(`${line}\n`));
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    console.error(`${path} could not be replayed: ${why}`);
    process.exitCode = 1;
  }
}
