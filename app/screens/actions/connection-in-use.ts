/** The connection that is in use, for all that look at it: opened and closed it is in connection.ts. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { BoardPort } from '../../link/port.ts';
import type { RecordingBuffer } from '../../link/recording.ts';
import type { Session } from '../../link/session.ts';
import type { ContactState } from '../../measure/contact-state.ts';
import type { FiringFinder } from '../../measure/firing-finder.ts';
import type { BoardIdentity } from '../../record/job.ts';

export interface Connection {
  readonly port: BoardPort;
  readonly session: Session;
  readonly recording: RecordingBuffer;
  finder: FiringFinder | null;
  /** Outlives finders and checks: each of them is told how the contact stands when it begins. */
  contact: ContactState | null;
  identity: BoardIdentity | null;
  hello: Hello | null;
}

let connection: Connection | null = null;

export const connectionInUse = (): Connection | null => connection;

export function setConnectionInUse(next: Connection | null): void {
  connection = next;
}
