/** Opening and closing a port that may hang: browsers and drivers set no limit of their own. */
import { inTime } from './in-time.ts';
import { type BoardPort, PortError } from './port.ts';

/** Some drivers take a moment; a port that has not opened by then has hung. */
const OPEN_WITHIN_MS = 15_000;
const CLOSE_WITHIN_MS = 3000;

/** @throws PortError */
export async function openInTime(port: BoardPort, baudRate: number): Promise<void> {
  const opening = port.open(baudRate);
  try {
    await inTime(opening, OPEN_WITHIN_MS, () => new PortError('failed', opensNot));
  } catch (error) {
    // One that opens after all must not stay open.
    void opening.then(() => port.close()).catch(() => undefined);
    throw error instanceof PortError ? error : new PortError('failed', String(error));
  }
}

/** `reading` ends with the port. Never throws, and does not wait for ever. */
export async function closeInTime(port: BoardPort, reading: Promise<void>): Promise<void> {
  const closed = port.close().then(() => reading);
  await inTime(closed, CLOSE_WITHIN_MS, () => new PortError('failed', 'not closed')).catch(() => undefined);
}

const opensNot =
  'The port did not open within 15 seconds. Unplug the board, plug it in again and try once more; if that does not ' +
  'help, restart the browser.';
