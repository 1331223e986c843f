/** Recordings of what a board has sent: saved, and played like a board. */
import { decodeRecording, encodeRecording, type Recording, RecordingError } from '../../link/recording.ts';
import { ReplayPort } from '../../link/replay-port.ts';
import { connectionInUse } from './connection-in-use.ts';
import { saveFile } from './files.ts';
import { leaveFlashing } from './flash-board.ts';
import { say } from './notices.ts';
import { connect } from './open-connection.ts';
import { takePractice } from './practice.ts';

export async function openRecording(file: File): Promise<void> {
  try {
    await play(decodeRecording(new Uint8Array(await file.arrayBuffer())), file.name);
  } catch (error) {
    const { message } = error as Error;
    const readable = error instanceof RecordingError ? error.readable : null;
    if (readable) {
      await play(readable, file.name);
      say(`${file.name} is played as far as it can be read. ${message}`, 'trouble');
    } else say(`${file.name} can't be played: ${message}`, 'trouble');
  }
}

async function play(recording: Recording, name: string): Promise<void> {
  if (!leaveFlashing()) return;
  takePractice(null);
  await connect({ port: new ReplayPort(recording), kind: null });
  say(`Playing ${name}. Nothing of it is filed.`);
  location.hash = 'bench';
}

/** Saves what the board has sent in the last minutes, as it came. */
export function saveRecording(): void {
  const connection = connectionInUse();
  if (!connection || connection.recording.size === 0) {
    say('Nothing has come from a board yet.');
    return;
  }
  const saved = new Date().toISOString();
  const file = encodeRecording(connection.recording.toRecording({ saved, hello: connection.hello }));
  saveFile(`leafclock-${saved.replace(/[:.]/g, '-')}.recording`, new Blob([file]));
}
