/** The connection that is in use, for all that look at it: opened and closed it is in open-connection.ts. */
import type { LineRate } from '../../../firmware-protocol/line-speeds.ts';
import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { BoardPort } from '../../link/port.ts';
import type { RateWatch } from '../../link/rate-watch.ts';
import type { RecordingBuffer } from '../../link/recording.ts';
import type { Session } from '../../link/session.ts';
import type { ContactState } from '../../measure/contact-state.ts';
import type { FiringFinder } from '../../measure/firing-finder.ts';
import type { BoardIdentity } from '../../record/job.ts';
import type { BoardKind } from './rate-memory.ts';

/** A port, and how it is to be opened. */
export interface Line {
  readonly port: BoardPort;
  /** Null where a port does not tell. */
  readonly kind: BoardKind | null;
  readonly rate: LineRate;
  /** A sentence, where the rate is normal and the board might have another. */
  readonly whyNotFast: string | null;
  /** The fast rate has failed just now, not before. */
  readonly hasFailed: boolean;
}

export interface Connection {
  readonly line: Line;
  readonly session: Session;
  readonly recording: RecordingBuffer;
  /** While the fast rate is in use. */
  readonly rateWatch: RateWatch | null;
  finder: FiringFinder | null;
  /** Outlives finders and checks: each of them is told how the contact stands when it begins. */
  contact: ContactState | null;
  identity: BoardIdentity | null;
  hello: Hello | null;
  /** The same port is being opened again at another rate. */
  reopening: Promise<void> | null;
}

let connection: Connection | null = null;

export const connectionInUse = (): Connection | null => connection;

export function setConnectionInUse(next: Connection | null): void {
  connection = next;
}
