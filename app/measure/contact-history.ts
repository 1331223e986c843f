import type { ContactEdge, GapCause } from '../link/stream.ts';
import type { Firing, FiringContactEdge } from './figures.ts';

/** A bouncing or chattering contact may send many edges; older ones go first. */
const MOST_EDGES = 4096;

/** What a firing's record holds of the contact. */
export type ContactBetween = Pick<Firing, 'contact' | 'contactClosedBefore'>;

/** After these nobody knows whether an edge went by: a board's own overrun costs samples and no edge. */
export const losesContact = (cause: GapCause): boolean => cause !== 'overrun';

/** The contact's edges of one session as far back as any record may ask, and how it stood before them. */
export class ContactHistory {
  #edges: FiringContactEdge[] = [];
  /** State before the first edge kept. */
  #before: boolean | null;
  /** Edges of which the one after may have got lost. */
  #doubtful = new WeakSet<FiringContactEdge>();

  /** `closed`: how the contact stands now, if that is known. */
  constructor(closed: boolean | null) {
    this.#before = closed;
  }

  add({ tick, closed, lost }: ContactEdge): void {
    this.#edges.push(lost > 0 ? { tick, closed, lost } : { tick, closed });
    if (this.#edges.length <= MOST_EDGES) return;
    this.#before = this.#edges[MOST_EDGES / 2 - 1]!.closed;
    this.#edges.splice(0, MOST_EDGES / 2);
  }

  gap(cause: GapCause): void {
    if (cause === 'restarted' || cause === 'disconnected') this.#edges = [];
    if (!losesContact(cause)) return;
    const last = this.#edges.at(-1);
    if (last === undefined) this.#before = null;
    else this.#doubtful.add(last);
  }

  /** Edges from one tick to another, and whether the contact is known to have stood closed before them. */
  between(first: number, last: number): ContactBetween {
    const contact = this.#edges.filter(({ tick }) => tick >= first && tick <= last);
    const before = this.#edges.findLast(({ tick }) => tick < first);
    const closed = before === undefined ? this.#before : before.closed && !this.#doubtful.has(before);
    return closed === true ? { contact, contactClosedBefore: true } : { contact };
  }
}
