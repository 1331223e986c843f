/** Takes up a board that comes back: plugged in again, or still there when the page is loaded anew. */
import { view } from '../view.ts';
import { holdBoard } from './board-lock.ts';
import { type FoundPort, type GrantedBoard, grantedBoards, watchPlugging } from './choose-port.ts';
import { connectionInUse } from './connection-in-use.ts';
import { keep, readKept } from './kept-in-browser.ts';
import { unsay } from './notices.ts';
import { closeConnection, connect } from './open-connection.ts';
import { takePractice } from './practice.ts';
import type { BoardKind } from './rate-memory.ts';

/** Kept for this tab alone, over a reload: another tab did not have the board. */
const KEY = 'leafclock.board-in-use';
/** After a replug something else may hold the port for a moment, as ModemManager does: so long is waited, in ms. */
const TRY_AGAIN_AFTER = [1000, 2000, 4000];

/** The kind of board the user has connected: when one like it comes back, it is taken up without a click. */
let awaited: BoardKind | null = null;
/** It came back before its loss was noticed. */
let returned: FoundPort | null = null;

/** From now on a board of this kind is waited for; null: none. */
export function awaitBoard(kind: BoardKind | null): void {
  awaited = kind;
  returned = null;
  keep(KEY, kind, 'sessionStorage');
}

export function watchPorts(): void {
  // The question that `afterLoading` begins with is needed in any case: without it the browser sends no 'connect'
  // for the first plug-in.
  void afterLoading();
  watchPlugging((board) => void cameBack(board));
  view.subscribe((now, before) => {
    if (now.session.phase === before.session.phase) return;
    if (now.session.phase === 'live') returned = null;
    if (now.session.phase === 'lost' && returned) void takeUp(returned);
  });
  // A page that is put aside whole holds no port; when it is shown again, nothing else loads it.
  addEventListener('pagehide', ({ persisted }) => persisted && void closeConnection());
  addEventListener('pageshow', ({ persisted }) => persisted && void afterLoading());
}

/** A board was plugged in. */
async function cameBack({ kind, find }: GrantedBoard): Promise<void> {
  if (kind === null || kind !== awaited) return;
  const found = await find();
  const { session } = view.getState();
  if (session.phase === 'refused' && session.reason === 'in another tab') return; // it is waited for there
  const isBusy = session.phase === 'opening' || session.phase === 'greeting' || session.phase === 'live';
  if (isBusy) returned = found;
  else void takeUp(found);
}

async function afterLoading(): Promise<void> {
  const boards = await grantedBoards();
  const kept = readKept(KEY, 'sessionStorage');
  // With several of a kind nobody knows which it was.
  const likely = boards.filter(({ kind }) => kept !== null && kind === kept);
  if (kept === null || view.getState().session.phase !== 'idle') return;
  awaited = kept;
  // Nobody asked for it here: where another tab has a board, nothing is said.
  if (likely.length === 1 && (await holdBoard())) await takeUp(await likely[0]!.find());
}

async function takeUp(found: FoundPort): Promise<void> {
  returned = null;
  takePractice(null);
  await connect(found);
  for (const wait of TRY_AGAIN_AFTER) {
    if (!isShut(found)) return;
    await new Promise((resolve) => setTimeout(resolve, wait));
    const { session } = view.getState();
    if (!isShut(found) || !('sentence' in session)) return;
    unsay(session.sentence);
    await connect(found);
  }
}

const isShut = ({ port }: FoundPort): boolean => {
  const { session } = view.getState();
  const isOurs = connectionInUse()?.line.port === port;
  return isOurs && session.phase === 'refused' && session.reason === 'could not open';
};
