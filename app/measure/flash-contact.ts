/** The flash contact in one firing: when it closed, how cleanly, and how far the blades were open then. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import type { ContactFigures } from './figures.ts';

/**
 * A closure that lasts this long has settled; shorter ones before it are bounces. Bounces follow each other within
 * some tenths of a millisecond and a sound contact stays closed for milliseconds, even at 1/500 s: this lies
 * between. Our own choice, no source.
 */
export const SETTLED_SECONDS = seconds(0.001);
/**
 * How long before a timed opening the record of the contact goes back. A sampled record goes back by 100 to
 * 220 ms; a contact set to M leads the blades by up to about 25 ms.
 */
export const CONTACT_LEAD_SECONDS = seconds(0.2);

/** An edge of the contact, in seconds from where the firing's instants count. */
export interface ContactMoment {
  readonly at: Seconds;
  readonly closed: boolean;
  /** Edges that could not be timed before this one. */
  readonly lost: number;
}

/** The contact's edges in one record, in order. */
export interface ContactRecord {
  readonly edges: readonly ContactMoment[];
  /** The contact was known to stand closed at the beginning. */
  readonly closedBefore: boolean;
  readonly from: Seconds;
  readonly to: Seconds;
}

/** What the light curve has to say of it. */
export interface ContactLight {
  readonly openAt: (at: Seconds) => number | null;
  readonly open80: Seconds | null;
  readonly open90: Seconds | null;
  readonly closing90: Seconds | null;
}

export const NO_CONTACT_LIGHT: ContactLight = {
  openAt: () => null,
  open80: null,
  open90: null,
  closing90: null,
};

interface Closure {
  readonly from: Seconds;
  readonly to: Seconds;
}

/**
 * Null when no edge came and the contact wasn't known to stand closed: it did not close, or its lead is not plugged
 * in, which only a test of the lead can tell apart. An instant that the board did not time itself is not given.
 */
export function contactFigures(record: ContactRecord, light: ContactLight): ContactFigures | null {
  const { edges, from, to } = record;
  const first = edges[0];
  if (first === undefined && !record.closedBefore) return null;
  // Without a loss, an opening that comes first can only end a closure from before the record.
  const closedBefore = record.closedBefore || (first !== undefined && !first.closed && first.lost === 0);
  const closures = closuresIn(edges, closedBefore ? from : null, to);
  const within = closedBefore ? closures.slice(1) : closures;
  const closing = edges.find((edge) => edge.closed && edge.at === within[0]?.from);
  // The opening of a closure that nobody saw tells of it, and not when it began.
  const missed = first !== undefined && !first.closed && !closedBefore;
  const closed = closing === undefined || closing.lost > 0 || missed ? null : closing.at;
  const last = edges.at(-1);
  const { bounces, bounceTime } = settling(within, to);
  return {
    closed,
    closedBefore,
    bounces,
    bounceTime,
    parted: last === undefined || last.closed ? null : last.at,
    closedTime: seconds(closures.reduce((sum, closure) => sum + closure.to - closure.from, 0)),
    lost: edges.reduce((sum, edge) => sum + edge.lost, 0),
    openAtClosure: closed === null ? null : light.openAt(closed),
    open80: light.open80,
    open90: light.open90,
    closing90: light.closing90,
  };
}

/** Stretches in which the contact stood closed. An edge that only repeats the state before it begins nothing new. */
function closuresIn(edges: readonly ContactMoment[], closedSince: Seconds | null, end: Seconds): Closure[] {
  const closures: Closure[] = [];
  let since = closedSince;
  for (const { at, closed } of edges) {
    if (closed) since ??= at;
    else if (since !== null) {
      closures.push({ from: since, to: at });
      since = null;
    }
  }
  if (since !== null) closures.push({ from: since, to: end });
  return closures;
}

/** Breaks until a closure lasts, and how long that takes. One that goes on to the record's end lasts. */
function settling(closures: readonly Closure[], end: Seconds) {
  const lasts = ({ from, to }: Closure) => to === end || to - from >= SETTLED_SECONDS;
  const found = closures.findIndex(lasts);
  // If none lasts, the last parting ends the contact and is no bounce.
  const settled = Math.max(found < 0 ? closures.length - 1 : found, 0);
  const first = closures[0];
  return {
    bounces: settled,
    bounceTime: seconds(first === undefined ? 0 : closures[settled]!.from - first.from),
  };
}
