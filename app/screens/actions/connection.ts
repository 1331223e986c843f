/** Which board is talked to: one session at a time, from a port to the readings. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import { commonBoards, NativeSerialPort } from '../../link/native-serial-port.ts';
import type { BoardPort } from '../../link/port.ts';
import {
  decodeRecording,
  encodeRecording,
  type Recording,
  RecordingBuffer,
  RecordingError,
} from '../../link/recording.ts';
import { ReplayPort } from '../../link/replay-port.ts';
import { Session } from '../../link/session.ts';
import type { SessionState } from '../../link/session-state.ts';
import type { StreamEvent } from '../../link/stream.ts';
import { ContactState } from '../../measure/contact-state.ts';
import type { FinderEvent } from '../../measure/finder-events.ts';
import type { BoardIdentity } from '../../record/job.ts';
import { view } from '../view.ts';
import { newFinder } from './board-finder.ts';
import { abandonCheck, isChecking, takeCheckEvent, takeCheckFiring, takeCheckLight } from './checks.ts';
import { lookAtClock } from './clock-comparison.ts';
import { type Connection, connectionInUse, setConnectionInUse } from './connection-in-use.ts';
import { saveFile } from './files.ts';
import { forgetPresent, lightCame } from './first-light.ts';
import { dropReference } from './held-reference.ts';
import { say } from './notices.ts';
import { showPractice, takePractice } from './practice.ts';
import { fileFiring, showProvisional } from './readings.ts';
import { saveNeverCloses } from './settings.ts';

/** How often counts go to the view; several times a second would only make it flicker. */
const COUNT_EVERY_MS = 500;

let counting: ReturnType<typeof setInterval> | null = null;
/** Every so many looks at the counts the clocks are compared as well. */
const LOOKS_AT_CLOCK = 10;
let looks = 0;
/** The board that was pulled: when one like it comes back, it is taken up again without a click. */
let awaited: SerialPortInfo | null = null;

/** A board that was granted before and is there needs no chooser, unless there are several or `choose` is set. */
export async function connectBoard({ choose = false } = {}): Promise<void> {
  let port: SerialPort;
  try {
    const granted = choose ? [] : (await navigator.serial.getPorts()).filter(isCommonBoard);
    port = granted.length === 1 ? granted[0]! : await navigator.serial.requestPort();
  } catch (error) {
    const name = (error as { name?: string } | null)?.name;
    if (name === 'NotFoundError') say('No port was chosen.');
    else say(`The browser did not give a port: ${(error as Error).message}`, 'trouble');
    return;
  }
  await connectPort(port);
}

/** The emulator and the firmware image are loaded now, not with the page. */
export async function connectPractice(): Promise<void> {
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
  takePractice(() => port.bench);
  await connect(port);
}

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
  await connect(new ReplayPort(recording));
  say(`Playing ${name}. Nothing of it is filed.`);
  location.hash = 'bench';
}

export async function disconnect(): Promise<void> {
  awaited = null;
  const old = connectionInUse();
  setConnectionInUse(null);
  abandonCheck();
  takePractice(null);
  forgetPresent();
  if (counting !== null) clearInterval(counting);
  counting = null;
  if (old) await old.session.close();
  view.setState({
    source: null,
    session: { phase: 'idle' },
    clock: null,
    eye: { phase: 'not armed', code: null },
  });
}

/** When an exposure that has not ended is reported; holds at once, also for one under way. False: refused. */
export function setNeverCloses(seconds: number): boolean {
  if (!saveNeverCloses(seconds)) return false;
  connectionInUse()?.finder?.setNeverCloses(seconds);
  return true;
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
  // An introduction that the session did not ask for is taken as a restart: everything about the board is new.
  await session.command({ type: 'hello' });
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

/** Takes up a board that is plugged in again, or one that was there when the page was loaded. */
export function watchPorts(): void {
  if (!('serial' in navigator)) return;
  // Without this first question the browser sends no 'connect' for the first plug-in.
  void navigator.serial.getPorts();
  navigator.serial.addEventListener('connect', (event) => {
    const port = event.target as SerialPort;
    const lost = view.getState().session.phase === 'lost';
    if (awaited && lost && sameDevice(port.getInfo(), awaited)) void connectPort(port);
  });
}

const isCommonBoard = (port: SerialPort) =>
  commonBoards.some(({ usbVendorId }) => usbVendorId === port.getInfo().usbVendorId);
const sameDevice = (a: SerialPortInfo, b: SerialPortInfo) =>
  a.usbVendorId === b.usbVendorId && a.usbProductId === b.usbProductId;

async function connectPort(port: SerialPort): Promise<void> {
  awaited = port.getInfo();
  takePractice(null);
  await connect(new NativeSerialPort(port));
}

async function connect(port: BoardPort): Promise<void> {
  const old = connectionInUse();
  setConnectionInUse(null);
  if (old) await old.session.close();
  dropReference('board restarted');
  forgetPresent();
  const recording = new RecordingBuffer();
  const session = new Session(port, {
    state: (state) => now.session === session && follow(now, state),
    event: (event) => now.session === session && take(now, event),
    bytes: (bytes, at) => recording.add(bytes, at),
  });
  const now: Connection = {
    port,
    session,
    recording,
    finder: null,
    contact: null,
    identity: null,
    hello: null,
  };
  setConnectionInUse(now);
  counting ??= setInterval(() => {
    const connection = connectionInUse();
    if (!connection) return;
    view.setState({ counts: connection.session.counts });
    if (++looks % LOOKS_AT_CLOCK === 0) lookAtClock();
  }, COUNT_EVERY_MS);
  abandonCheck();
  view.setState({ source: port.kind, clock: null, eye: { phase: 'not armed', code: null } });
  await session.open();
}

function follow(now: Connection, state: SessionState): void {
  if (now !== connectionInUse()) return;
  const before = view.getState().session;
  if (state.phase === 'live' && (before.phase !== 'live' || before.hello !== state.hello)) {
    const { hello } = state;
    // A board that was reset counts its ticks anew: neither finder nor open level of before holds.
    if (now.finder) dropReference('board restarted');
    now.hello = hello;
    now.contact = new ContactState(hello);
    now.finder = newFinder(hello, now.contact);
    now.identity = now.port.kind === 'recording' ? null : identityOf(hello, now.port.kind === 'practice');
    if (hello.kind === 'edges') view.setState({ eye: { phase: 'no light channel', code: null } });
  }
  if ((state.phase === 'lost' && state.reason !== 'closed') || state.phase === 'refused')
    say(state.sentence, state.phase === 'lost' && state.reason === 'end of recording' ? 'word' : 'trouble');
  if (state.phase !== 'live' && isChecking()) abandonCheck('The check was ended: the board is not there.');
  if (state.phase !== 'live') view.setState({ clock: null });
  view.setState({ session: state, counts: now.session.counts });
}

const identityOf = (hello: Hello, practice: boolean): BoardIdentity => ({
  board: hello.board,
  serial: hello.serial,
  firmware: hello.firmware,
  image: hello.image.toString(16).padStart(8, '0'),
  protocol: hello.protocol,
  practice,
});

function take(now: Connection, event: StreamEvent): void {
  if (now !== connectionInUse()) return;
  now.contact?.take(event);
  takeCheckEvent(event);
  for (const found of now.finder?.push(event) ?? []) act(now, found);
}

function act(now: Connection, found: FinderEvent): void {
  const checking = isChecking();
  switch (found.kind) {
    case 'state':
      if (found.state === 'open') {
        if (checking) takeCheckLight();
        else lightCame();
      }
      if (found.state !== 'closing') {
        const phase = found.state === 'not dark yet' ? 'not armed' : found.state;
        view.setState((v) => ({ eye: { ...v.eye, phase } }));
      }
      break;
    case 'level':
      view.setState((v) => ({ eye: { ...v.eye, code: Math.round(found.light) } }));
      break;
    case 'provisional':
      if (!checking) showProvisional(found.firing);
      break;
    case 'spoilt':
    case 'never closed':
    case 'firing':
      if (checking) takeCheckFiring(found.firing);
      else void fileFiring(found.firing, now.identity);
      break;
  }
}
