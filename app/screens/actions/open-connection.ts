/** Opens a port, follows its session, and opens it anew at the normal rate when the fast one fails. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import { type LineCounts, NOTHING_COUNTED } from '../../link/line-tally.ts';
import type { BoardPort } from '../../link/port.ts';
import { RateWatch } from '../../link/rate-watch.ts';
import { RecordingBuffer } from '../../link/recording.ts';
import { Session } from '../../link/session.ts';
import type { SessionState } from '../../link/session-state.ts';
import type { StreamEvent } from '../../link/stream.ts';
import { ContactState } from '../../measure/contact-state.ts';
import type { BoardIdentity } from '../../record/job.ts';
import { view } from '../view.ts';
import { takeEvent } from './board-events.ts';
import { newFinder } from './board-finder.ts';
import { holdBoard, letGoOfBoard } from './board-lock.ts';
import { abandonCheck, isChecking } from './checks.ts';
import type { FoundPort } from './choose-port.ts';
import { lookAtClock } from './clock-comparison.ts';
import { type Connection, connectionInUse, type Line, setConnectionInUse } from './connection-in-use.ts';
import { forgetPresent } from './first-light.ts';
import { dropReference } from './held-reference.ts';
import { say } from './notices.ts';
import { failureOfFast, firstLine, normalLine, rateInForce, tooManyLosses } from './sampling-rate.ts';

/** How often counts go to the view; several times a second would only make it flicker. */
const COUNT_EVERY_MS = 500;
/** Every so many looks at the counts the clocks are compared as well. */
const LOOKS_AT_CLOCK = 10;

let counting: ReturnType<typeof setInterval> | null = null;
let looks = 0;
/** Raised with each connection that is begun or ended: one that was overtaken goes no further. */
let turn = 0;

const inAnotherTab =
  'Another tab of Leafclock has the board. Close that tab, or disconnect the board there, then connect again.';

const isBoard = ({ kind }: BoardPort) => kind === 'serial' || kind === 'usb';

/** Resolves when the board is live, or it is clear that it won't be: the view tells which. */
export async function connect(found: FoundPort): Promise<void> {
  const mine = ++turn;
  await leave();
  if (mine !== turn) return;
  if (!isBoard(found.port)) letGoOfBoard();
  else if (!(await holdBoard())) {
    if (mine === turn) follow(null, { phase: 'refused', reason: 'in another tab', sentence: inAnotherTab });
    return;
  }
  if (mine === turn) await openLine(firstLine(found), NOTHING_COUNTED);
}

/** Closes what is open. The view is left as it is. */
async function leave(): Promise<void> {
  const old = connectionInUse();
  setConnectionInUse(null);
  abandonCheck();
  forgetPresent();
  if (!old) return;
  await old.session.close();
  await old.reopening;
}

/** Ends the connection for good. */
export async function closeConnection(): Promise<void> {
  const mine = ++turn;
  if (counting !== null) clearInterval(counting);
  counting = null;
  await leave();
  if (mine !== turn) return;
  letGoOfBoard();
  view.setState({
    source: null,
    session: { phase: 'idle' },
    clock: null,
    rate: null,
    eye: { phase: 'not armed', code: null },
  });
}

async function openLine(line: Line, counts: LineCounts): Promise<void> {
  dropReference('board restarted');
  forgetPresent();
  const recording = new RecordingBuffer();
  const session: Session = new Session(
    line.port,
    {
      state: (state) => now.session === session && follow(now, state),
      event: (event) => now.session === session && take(now, event),
      bytes: (bytes, at) => recording.add(bytes, at),
      reset: ({ sentence, serious }) =>
        now === connectionInUse() && say(sentence, serious ? 'trouble' : 'word'),
    },
    { rate: line.rate, counts },
  );
  const now: Connection = {
    line,
    session,
    recording,
    rateWatch: line.rate === 'fast' ? new RateWatch() : null,
    finder: null,
    contact: null,
    identity: null,
    hello: null,
    reopening: null,
  };
  setConnectionInUse(now);
  counting ??= setInterval(look, COUNT_EVERY_MS);
  abandonCheck();
  view.setState({
    source: line.port.kind,
    clock: null,
    rate: null,
    eye: { phase: 'not armed', code: null },
  });
  await session.open();
  await now.reopening;
}

function look(): void {
  const connection = connectionInUse();
  if (!connection) return;
  view.setState({ counts: connection.session.counts });
  if (++looks % LOOKS_AT_CLOCK === 0) lookAtClock();
}

/** The fast rate does not do on this line. */
function reopen(now: Connection, why: string): void {
  if (now.reopening) return;
  if (isChecking()) abandonCheck('The check was ended: the board is opened anew, at the normal rate.');
  view.setState({ session: { phase: 'opening' }, clock: null });
  now.reopening = now.session.close().then(() => {
    if (now === connectionInUse()) return openLine(normalLine(now.line, why), now.session.counts);
  });
}

/** `now`: null for a port that was not opened at all. */
function follow(now: Connection | null, state: SessionState): void {
  if (now !== connectionInUse() || now?.reopening) return;
  const before = view.getState().session;
  if (now?.line.rate === 'fast' && state.phase === 'refused') {
    const why = failureOfFast(state.reason, state.sentence);
    if (why !== null) {
      reopen(now, why);
      return;
    }
  }
  if (now && state.phase === 'live' && (before.phase !== 'live' || before.hello !== state.hello))
    introduced(now, state.hello);
  const isTrouble = state.phase === 'refused' || state.phase === 'lost';
  if (isTrouble && state.reason !== 'closed')
    say(state.sentence, state.reason === 'end of recording' ? 'word' : 'trouble');
  if (state.phase !== 'live' && isChecking()) abandonCheck('The check was ended: the board is not there.');
  if (state.phase !== 'live') view.setState({ clock: null });
  view.setState({ session: state, ...(now && { counts: now.session.counts }) });
  if (now && isTrouble && state.reason !== 'silent') void giveBack(now);
}

/** The port is closed now: another tab may have it. */
async function giveBack(now: Connection): Promise<void> {
  await now.session.close();
  if (now === connectionInUse()) letGoOfBoard();
}

function introduced(now: Connection, hello: Hello): void {
  const { port } = now.line;
  // A board that was reset counts its ticks anew: neither finder nor open level of before holds.
  if (now.finder) dropReference('board restarted');
  now.hello = hello;
  now.contact = new ContactState(hello);
  now.finder = newFinder(hello, now.contact);
  now.identity = port.kind === 'recording' ? null : identityOf(hello, port.kind === 'practice');
  if (hello.kind === 'edges') view.setState({ eye: { phase: 'no light channel', code: null } });
  rateInForce(now.line, hello);
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
  takeEvent(now, event);
  now.rateWatch?.take(event, performance.now());
  // A shutter that stands open is left to end its firing: only what is dark is interrupted.
  if (now.rateWatch?.tooMany && view.getState().eye.phase !== 'open' && !now.reopening) {
    say(tooManyLosses, 'trouble');
    reopen(now, tooManyLosses);
  }
}
