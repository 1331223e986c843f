/** The user's ways to a board: a real one, the practice bench; leaving it; what can be told to it. */
import { view } from '../view.ts';
import { choosePort } from './choose-port.ts';
import { connectionInUse } from './connection-in-use.ts';
import { leaveFlashing } from './flash-board.ts';
import { say } from './notices.ts';
import { closeConnection, connect } from './open-connection.ts';
import { showPractice, takePractice } from './practice.ts';
import { forgetFailure, type RateSetting, saveRateSetting } from './rate-memory.ts';
import { saveNeverCloses } from './settings.ts';
import { awaitBoard } from './staying-connected.ts';

/** A board that was granted before and is there needs no chooser, unless there are several or `choose` is set. */
export async function connectBoard(options: { readonly choose?: boolean } = {}): Promise<void> {
  if (!leaveFlashing()) return;
  const found = await choosePort(options);
  if (!found) return;
  awaitBoard(found.kind);
  takePractice(null);
  await connect(found);
}

/** The emulator and the firmware image are loaded now, not with the page. */
export async function connectPractice(): Promise<void> {
  if (!leaveFlashing()) return;
  const parts = await Promise.all([
    import('../../link/practice-port.ts'),
    import('../../../firmware-protocol/atmega328p/tester.hex?raw'),
  ]).catch(() => null);
  if (!parts) {
    say(
      'The practice board could not be loaded. Is the page still being served? Reload it and try again.',
      'trouble',
    );
    return;
  }
  const [{ PracticePort }, { default: image }] = parts;
  const port = new PracticePort({
    image,
    seed: crypto.getRandomValues(new Uint32Array(1))[0]!,
    onState: showPractice,
  });
  awaitBoard(null);
  takePractice(() => port.bench);
  await connect({ port, kind: null });
}

export async function disconnect(): Promise<void> {
  if (!leaveFlashing()) return;
  awaitBoard(null);
  takePractice(null);
  await closeConnection();
}

/** When an exposure that has not ended is reported; holds at once, also for one under way. False: refused. */
export function setNeverCloses(seconds: number): boolean {
  if (!saveNeverCloses(seconds)) return false;
  connectionInUse()?.finder?.setNeverCloses(seconds);
  return true;
}

/** Holds from the next connection; a board that is connected and at rest is opened anew for it. */
export async function setSamplingRate(setting: RateSetting): Promise<void> {
  saveRateSetting(setting);
  view.setState({ rateSetting: setting });
  const connection = connectionInUse();
  if (!connection || view.getState().rate?.inUse === (setting === 'automatic' ? 'fast' : 'normal')) return;
  if (setting === 'automatic' && connection.line.kind !== null) forgetFailure(connection.line.kind);
  const { session, eye, checking } = view.getState();
  if (session.phase !== 'live' || connection.line.port.kind === 'recording') return;
  if (eye.phase === 'open' || checking !== null)
    say('The shutter is open or a check is running: the rate is changed with the next connection.');
  else await connect(connection.line);
}

/**
 * Gives the board a serial number of its own and lets it introduce itself anew. Empty takes the number away.
 *
 * @throws Error with a sentence when there is no board, or it does not answer or refuses.
 */
export async function setBoardSerial(serial: string): Promise<void> {
  const session = connectionInUse()?.session;
  if (session?.state.phase !== 'live') throw new Error('No board is connected.');
  await session.command({ type: 'serial', serial });
  session.introduceAnew();
}
