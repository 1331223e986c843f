/**
 * `npm run --silent replay -- FILE`: reads a recording, or a file of nothing but the board's bytes, and
 * prints one JSON object per firing. Times in seconds; null where a figure could not be had.
 */
import { readFileSync } from 'node:fs';
import { MessageReader } from '../firmware-protocol/decode.ts';
import { type Hello, PROTOCOL_VERSION } from '../firmware-protocol/messages.ts';
import { decodeRecording, type Recording, RecordingError } from './link/recording.ts';
import { introductionOf } from './link/replay-port.ts';
import { StreamAssembler } from './link/stream-assembler.ts';
import type { Firing, ReferenceLevel } from './measure/figures.ts';
import { FiringFinder } from './measure/firing-finder.ts';
import { measureFiring } from './measure/measure-firing.ts';
import { nextReference, validReference } from './measure/reference-level.ts';

/** Prints the firings of a recording. @throws RecordingError if no board this page can read speaks in it. */
function replay(recording: Recording, print: (line: string) => void): void {
  const references = new Map<number, ReferenceLevel | null>();
  const measured = (firing: Firing) => {
    const reference = validReference(references.get(firing.channel) ?? null, firing);
    const figures = measureFiring(firing, { reference });
    references.set(firing.channel, nextReference(reference, firing, figures).reference);
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
  const begin = (hello: Hello): StreamAssembler => {
    if (hello.protocol !== PROTOCOL_VERSION)
      throw new RecordingError(
        `The board speaks version ${hello.protocol} of the protocol; this program reads version ${PROTOCOL_VERSION}.`,
      );
    references.clear();
    const finder = new FiringFinder({ tickHz: hello.tickHz, fullScale: 2 ** hello.bits - 1 });
    return new StreamAssembler(hello, (event) => {
      for (const found of finder.push(event))
        if ('firing' in found && found.kind !== 'provisional') measured(found.firing);
    });
  };

  const { hello, assumed } = introductionOf(recording);
  let assembler = begin(hello);
  const reader = new MessageReader();
  for (const { bytes } of recording.chunks)
    reader.push(
      bytes,
      (message) => {
        if (message.type !== 'hello') assembler.message(message);
        else {
          // A board introduces itself after a reset, or before it is started: a firing under way ends here.
          assembler.restart('restarted');
          assembler = begin(message);
        }
      },
      () => assembler.damaged(),
      (unknown) => assembler.skipped(unknown.sequence),
    );
  assembler.gap('disconnected');
  if (reader.counts.messages === 0)
    throw new RecordingError('There is no message from a Leafclock board in this file.');
  if (assumed)
    console.error(
      'No introduction of the board in it: taken for the usual one, with 2 000 000 ticks a second.',
    );
  const { length, coding, crc, malformed } = reader.counts;
  const damaged = length + coding + crc + malformed;
  if (damaged > 0) console.error(`Damaged frames: ${damaged}. Firings they touch are spoilt.`);
}

function replayFile(path: string): void {
  const print = (line: string) => process.stdout.write(`${line}\n`);
  let recording: Recording;
  try {
    recording = decodeRecording(readFileSync(path));
  } catch (error) {
    if (error instanceof RecordingError && error.readable) replay(error.readable, print);
    throw error;
  }
  replay(recording, print);
}

// Whoever reads the lines may have seen enough: a closed pipe is no fault.
process.stdout.on('error', () => process.exit());
const [path] = process.argv.slice(2);
if (path === undefined) {
  console.error('Which file? npm run --silent replay -- FILE');
  process.exitCode = 1;
} else {
  try {
    replayFile(path);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    console.error(`${path} could not be replayed: ${code === 'ENOENT' ? 'There is no such file.' : message}`);
    process.exitCode = 1;
  }
}
