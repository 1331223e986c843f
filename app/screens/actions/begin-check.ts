/** Begins the checks that need the board: each has the stream to itself while it runs. */

import { view } from '../view.ts';
import { lowestChannel, newFinder } from './board-finder.ts';
import { type CheckedBoard, isChecking } from './checks.ts';
import { connectionInUse } from './connection-in-use.ts';
import { startContactLead } from './contact-lead-check.ts';
import { forgetPresent } from './first-light.ts';
import { startIrisCheck } from './iris-check.ts';
import { startLightCheck } from './light-check.ts';
import { say } from './notices.ts';
import { startReferenceLight } from './reference-light.ts';
import { startSelfTimer } from './self-timer-check.ts';

/** The board that a check may run on, with a finder that knows nothing of what came before; null if there is none. */
function boardToCheck(needs: 'light curve' | 'edges'): CheckedBoard | null {
  const now = connectionInUse();
  if (!now?.hello || now.line.port.kind === 'recording') return null;
  const { hello, session } = now;
  if (hello.kind === 'edges' && needs === 'light curve') {
    say('This board times edges and sends no light: there is nothing to check the light by.', 'trouble');
    return null;
  }
  forgetPresent();
  now.finder = newFinder(hello, now.contact);
  return {
    hello,
    contactClosed: now.contact?.closed ?? null,
    channel: lowestChannel(hello),
    pulses: (width, gap, count) => session.command({ type: 'pulses', width, gap, count }),
    over: checkIsOver,
  };
}

/** After a check: light that is still there belongs to it, and is no firing. */
function checkIsOver(): void {
  forgetPresent();
  const connection = connectionInUse();
  if (!connection?.hello) return;
  connection.finder = newFinder(connection.hello, connection.contact);
  if (connection.hello.kind === 'samples') view.setState((v) => ({ eye: { ...v.eye, phase: 'not armed' } }));
}

function onBoard(begin: (board: CheckedBoard) => void, needs: 'light curve' | 'edges' = 'light curve'): void {
  if (isChecking()) return;
  if (view.getState().eye.phase === 'open') {
    say('The shutter is open: the check can begin when this firing is over.', 'trouble');
    return;
  }
  const board = boardToCheck(needs);
  if (board) begin(board);
}

export const beginLightCheck = (): void => onBoard(startLightCheck);
export const beginReferenceLight = (): void => onBoard(startReferenceLight);
export const beginIrisCheck = (mark: string): void => onBoard((board) => startIrisCheck(mark, board));
export const beginContactLead = (): void => onBoard(startContactLead, 'edges');
export const beginSelfTimer = (): void => onBoard(startSelfTimer, 'edges');
