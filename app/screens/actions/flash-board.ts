/** Puts the firmware on a board from the page, and connects it afterwards. */
import { FlashError, type FlashProgress } from '../../link/flashing/firmware-report.ts';
import { type Flashing, type FlashTrouble, view } from '../view.ts';
import { holdBoard, letGoOfBoard } from './board-lock.ts';
import { loadCarried } from './carried-firmware.ts';
import { choosePort, type FoundPort, grantedOfKind } from './choose-port.ts';
import { connectionInUse } from './connection-in-use.ts';
import { say, unsay } from './notices.ts';
import { closeConnection, connect } from './open-connection.ts';
import { takePractice } from './practice.ts';
import { type BoardKind, forgetFailure } from './rate-memory.ts';
import { awaitBoard } from './staying-connected.ts';

/** The port of the last attempt, as long as it may be that board's still. */
let tried: FoundPort | null = null;
let stopping: AbortController | null = null;
/** From the click on: while the browser's chooser is open as well. */
let begun = false;

const to = (flashing: Flashing): void => view.setState({ flashing });

/**
 * Puts the firmware on the board that is connected or was refused, else on one that the user chooses. The view's
 * `flashing` tells how it goes; it never throws. `choose`: another port than the one at hand.
 */
export async function flashBoard({ choose = false } = {}): Promise<void> {
  if (begun) return;
  const { checking, eye } = view.getState();
  if (checking !== null || eye.phase === 'open') {
    say('The shutter is open or a check is running: let that end first.', 'trouble');
    return;
  }
  begun = true;
  try {
    const found = choose ? await choosePort({ choose }) : await boardAtHand();
    if (found) await put(found);
  } finally {
    begun = false;
  }
}

/** The user does not want to wait for the end. */
export const giveUpFlashing = (): void => stopping?.abort();

/** True while a board must not be touched otherwise, nor the page be left. */
export const isFlashing = (): boolean => view.getState().flashing.phase === 'working';

/** Puts away what the last attempt came to; false while one is under way, and a board can't be had otherwise. */
export function leaveFlashing(): boolean {
  if (begun) return false;
  tried = null;
  to({ phase: 'idle' });
  return true;
}

async function boardAtHand(): Promise<FoundPort | null> {
  const { session } = view.getState();
  const line = connectionInUse()?.line;
  const isBoard = line?.port.kind === 'serial' || line?.port.kind === 'usb';
  if (line && isBoard && session.phase !== 'lost') return line;
  return tried?.kind ? sameAgain(tried.kind) : (tried ?? choosePort());
}

/** The board of the last attempt, which may have been plugged in anew: then its port is another. */
async function sameAgain(kind: BoardKind): Promise<FoundPort | null> {
  const alike = await grantedOfKind(kind);
  if (alike.length === 1) return alike[0]!.find();
  if (alike.length > 1) return choosePort();
  say(notThere, 'trouble');
  return null;
}

async function put({ port, kind }: FoundPort): Promise<void> {
  const found = { port, kind };
  tried = found;
  stopping = new AbortController();
  const { signal } = stopping;
  const { session: before } = view.getState();
  if ('sentence' in before) unsay(before.sentence);
  unsay(notThere);
  to({ phase: 'working', step: 'loading', part: null });
  try {
    const { putFirmwareOn, image } = await loadWriter();
    // A board that is plugged in meanwhile is not taken up by itself.
    awaitBoard(null);
    takePractice(null);
    await closeConnection();
    if (!(await holdBoard())) throw new Trouble('in another tab', inAnotherTab);
    const report = await putFirmwareOn(port, image, { signal, onProgress: showProgress });
    to({ phase: 'working', step: 'connecting', part: null });
    // That was another firmware's.
    if (kind !== null) forgetFailure(kind);
    awaitBoard(kind);
    await connect(found);
    const { session } = view.getState();
    if (session.phase !== 'live') throw new Trouble('no introduction', notIntroduced);
    to({ phase: 'done', report });
  } catch (error) {
    if (view.getState().session.phase === 'idle') letGoOfBoard();
    to(failed(error));
  }
}

/** What is needed for it is loaded now, not with the page. */
async function loadWriter() {
  const parts = await Promise.all([import('../../link/flashing/put-firmware-on.ts'), loadCarried()]).catch(
    () => null,
  );
  if (!parts) throw new Trouble('not loaded', notLoaded);
  const [{ putFirmwareOn }, { image }] = parts;
  return { putFirmwareOn, image };
}

function showProgress({ step, done, total }: FlashProgress): void {
  to({ phase: 'working', step, part: total > 0 ? done / total : null });
}

/** What goes wrong around the writing itself. */
class Trouble extends Error {
  constructor(
    readonly because: FlashTrouble,
    sentence: string,
  ) {
    super(sentence);
  }
}

function failed(error: unknown): Flashing {
  if (error instanceof FlashError) return { phase: 'failed', because: error.code, sentence: error.message };
  if (error instanceof Trouble) return { phase: 'failed', because: error.because, sentence: error.message };
  return { phase: 'failed', because: 'could not open', sentence: `The port failed: ${error}.` };
}

const notThere = 'The board is not there: plug it in, then try again.';
const notLoaded =
  'The firmware could not be loaded. Is the page still being served? Nothing was written. Reload the page and try again.';
const inAnotherTab =
  'Another tab of Leafclock has a board. Close that tab, or disconnect the board there, then try again.';
const notIntroduced =
  'The firmware is on the board and was read back, but the board has not introduced itself since.';
