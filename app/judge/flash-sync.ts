/** Whether the flash contact closes when the blades stand open: X and M, from the firings at one mark. */
import { type Seconds, seconds } from '../../firmware-protocol/units.ts';
import type { ContactFigures, Figures, Remark } from '../measure/figures.ts';
import type { ContactLeadResult } from './camera-checks.ts';
import { addValue, NO_MOMENTS, standardDeviation } from './running-moments.ts';
import type { MarkedSpeed } from './verdict.ts';

/**
 * An X contact closes near full opening. One that closes before the blades are this far open costs its flash a
 * third of a stop or more at first; slightly before 90 % is sound. The limit is our own choice.
 */
export const X_LEAST_OPEN = 0.8;
/**
 * An M contact of a leaf shutter closes so long before the blades are 80 % open (Canon, support article ART157798):
 * a bulb of class M gives its peak about 20 ms after the current begins (handbook value).
 */
export const M_LEAD: { readonly least: Seconds; readonly most: Seconds } = {
  least: seconds(0.013),
  most: seconds(0.019),
};

export type SyncVerdict =
  | 'in time'
  | 'too early'
  | 'too late'
  | 'never closed'
  | 'not every time' // it closed in some firings and not in others
  | 'cannot be told';

/** In seconds. `sd` is null under two firings. */
export interface Spread {
  readonly mean: Seconds;
  readonly sd: Seconds | null;
  /** Of a margin the least. Of a lead at X the earliest closure, at M the one farthest from the middle of what is asked for. */
  readonly worst: Seconds;
}

export interface FlashSyncResult {
  readonly setting: 'X' | 'M';
  readonly flashDuration: Seconds;
  readonly verdict: SyncVerdict;
  /** Firings that count, those of them in which the contact closed, and those of which an instant can be told. */
  readonly n: number;
  readonly closed: number;
  readonly told: number;
  /** Firings in which the contact stood closed from before the release to the end. */
  readonly stoodClosed: number;
  /** Firings of a board that times the light's coming and going alone: a contact may close after its record ends. */
  readonly openTimeOnly: number;
  /** X: from the end of the flash to when the blades have closed to 90 %; negative is too late. Null at M. */
  readonly margin: Spread | null;
  /** From closure to 80 % open; negative where it closes later. */
  readonly lead: Spread | null;
  /** Mean open fraction at closure. */
  readonly openAtClosure: number | null;
  /** The most breaks in one closure, and the longest time until the contact stayed closed. */
  readonly bounces: number;
  readonly bounceTime: Seconds;
  /** Some edges could not be timed: there were more bounces. */
  readonly moreBounces: boolean;
  /** Mean; null where it never closed. */
  readonly closedTime: Seconds | null;
}

export interface SyncReading {
  readonly figures: Figures;
  /** The user's reason for leaving it out, or null. */
  readonly setAside: string | null;
}

/** What is known of the lead between contact and board. */
export type LeadState = 'works' | 'fails' | 'not known';

/**
 * By the last test of the lead, or because the contact closed in one of `readings`, which are all of the job: after
 * a test that failed only those count that were fired since. Time stamps are written in UTC, so that their letters
 * sort as they do.
 */
export function leadState(
  test: { readonly at: string; readonly result: Pick<ContactLeadResult, 'state'> } | null,
  readings: readonly (SyncReading & { readonly at: string })[],
): LeadState {
  const state = test?.result.state;
  if (state === 'works' || state === 'bounces') return 'works';
  const since = test?.at ?? '';
  if (readings.some(({ figures, at }) => hasClosed(figures) && at > since)) return 'works';
  return test === null ? 'not known' : 'fails';
}

/**
 * What the firings at one mark say of the contact. `leadWorks`: without it a contact that did not close can't be
 * told from a lead that isn't plugged in. Firings that are spoilt or set aside don't count. A mark is in time when
 * each of its firings is.
 */
export function flashSync(input: {
  readonly setting: 'X' | 'M';
  /** How long the flash lights, down to a tenth of its peak. */
  readonly flashDuration: Seconds;
  readonly leadWorks: boolean;
  readonly readings: readonly SyncReading[];
}): FlashSyncResult {
  const { setting, flashDuration, readings } = input;
  const counted = readings.filter(({ figures, setAside }) => setAside === null && isWhole(figures));
  const contacts = counted.flatMap(({ figures }) => (figures.contact === null ? [] : [figures.contact]));
  const closings = contacts.filter((contact) => contact.closed !== null || contact.lost > 0);
  const firings = contacts.flatMap((contact) => told(contact, flashDuration));
  const margins = setting === 'X' ? firings.flatMap(({ margin }) => margin ?? []) : [];
  const facts = {
    setting,
    n: counted.length,
    closed: closings.length,
    told: setting === 'X' ? margins.length : firings.length,
  };
  const stoodClosed = contacts.filter(
    ({ closed, closedBefore, parted }) => closedBefore && closed === null && parted === null,
  ).length;
  const openTimeOnly = counted.filter(({ figures }) => hasRemark(figures, 'open time only')).length;
  const middle = (M_LEAD.least + M_LEAD.most) / 2;
  const fractions = closings.flatMap(({ openAtClosure }) => openAtClosure ?? []);
  return {
    ...facts,
    flashDuration,
    stoodClosed,
    openTimeOnly,
    verdict: verdictOf({ ...facts, stoodClosed, openTimeOnly }, firings, input.leadWorks),
    margin: spread(margins, (margin) => -margin),
    lead: spread(
      firings.map(({ lead }) => lead),
      (lead) => (setting === 'M' ? Math.abs(lead - middle) : lead),
    ),
    openAtClosure: fractions.length === 0 ? null : mean(fractions),
    bounces: Math.max(0, ...closings.map(({ bounces }) => bounces)),
    bounceTime: seconds(Math.max(0, ...closings.map(({ bounceTime }) => bounceTime))),
    moreBounces: closings.some(({ lost }) => lost > 0),
    closedTime: closings.length === 0 ? null : seconds(mean(closings.map(({ closedTime }) => closedTime))),
  };
}

interface ToldFiring {
  readonly lead: number;
  /** Null where the closing isn't known. */
  readonly margin: number | null;
}

/** A firing of which both the closure and the blades are known; none otherwise. */
function told({ closed, open80, closing90 }: ContactFigures, flashDuration: Seconds): ToldFiring[] {
  if (closed === null || open80 === null) return [];
  return [{ lead: open80 - closed, margin: closing90 === null ? null : closing90 - closed - flashDuration }];
}

type Facts = Pick<FlashSyncResult, 'setting' | 'n' | 'closed' | 'told' | 'stoodClosed' | 'openTimeOnly'>;

function verdictOf(
  { setting, n, closed, told, stoodClosed, openTimeOnly }: Facts,
  firings: readonly ToldFiring[],
  leadIsGood: boolean,
): SyncVerdict {
  if (n === 0 || openTimeOnly > 0) return 'cannot be told';
  if (closed === 0) return leadIsGood && stoodClosed === 0 ? 'never closed' : 'cannot be told';
  if (closed < n) return stoodClosed === 0 ? 'not every time' : 'cannot be told';
  if (told < n) return 'cannot be told';
  if (setting === 'X') {
    if (firings.some(({ margin }) => margin! < 0)) return 'too late';
    return firings.some(({ lead }) => lead > 0) ? 'too early' : 'in time';
  }
  const late = Math.max(...firings.map(({ lead }) => M_LEAD.least - lead));
  const early = Math.max(...firings.map(({ lead }) => lead - M_LEAD.most));
  if (late <= 0 && early <= 0) return 'in time';
  return late > early ? 'too late' : 'too early';
}

/** Over how many marks an X contact is in time. */
export interface SyncRange {
  /** Labels of the slowest and the fastest mark in time. */
  readonly slowest: string;
  readonly fastest: string;
  /** Marks between them that are not in time. */
  readonly except: readonly string[];
  /** Slower marks than these that are not. */
  readonly slower: readonly string[];
  /** The next faster mark that was fired and is not in time; null if none was. */
  readonly next: string | null;
}

/** Null where no mark is in time. B and T count as slowest. Marks that can't be told are passed over. */
export function syncRange(
  marks: readonly { readonly speed: MarkedSpeed; readonly verdict: SyncVerdict }[],
): SyncRange | null {
  const time = (speed: MarkedSpeed) => speed.marked ?? Number.POSITIVE_INFINITY;
  const slowFirst = marks
    .filter(({ verdict }) => verdict !== 'cannot be told')
    .toSorted((a, b) => (time(a.speed) === time(b.speed) ? 0 : time(b.speed) - time(a.speed)));
  const inTime = slowFirst.filter(({ verdict }) => verdict === 'in time');
  const fastest = inTime.at(-1);
  if (fastest === undefined) return null;
  const [begin, end] = [slowFirst.indexOf(inTime[0]!), slowFirst.indexOf(fastest)];
  const notInTime = (part: typeof slowFirst) =>
    part.flatMap(({ speed, verdict }) => (verdict === 'in time' ? [] : speed.label));
  return {
    slowest: inTime[0]!.speed.label,
    fastest: fastest.speed.label,
    except: notInTime(slowFirst.slice(begin, end)),
    slower: notInTime(slowFirst.slice(0, begin)),
    next: slowFirst[end + 1]?.speed.label ?? null,
  };
}

const hasRemark = ({ remarks }: Figures, wanted: Remark['code']) =>
  remarks.some(({ code }) => code === wanted);

const isWhole = (figures: Figures) => !hasRemark(figures, 'spoilt');

const hasClosed = ({ contact }: Figures) => contact !== null && contact.closed !== null;

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

/** `badness`: larger is worse. */
function spread(values: readonly number[], badness: (value: number) => number): Spread | null {
  if (values.length === 0) return null;
  const moments = values.reduce(addValue, NO_MOMENTS);
  const sd = standardDeviation(moments);
  const worst = values.reduce((worst, value) => (badness(value) > badness(worst) ? value : worst));
  return { mean: seconds(moments.mean), sd: sd === null ? null : seconds(sd), worst: seconds(worst) };
}
