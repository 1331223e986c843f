import { type Seconds, ticksToSeconds } from '../../firmware-protocol/units.ts';
import type { Figures, Firing } from '../measure/figures.ts';

/** From – to, in milliseconds from first light. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** The contact beside the light, for one firing. Times are milliseconds from first light, or from the record's beginning without one. */
export interface ContactColumns {
  readonly time: readonly number[];
  /** Percent of full opening. */
  readonly light: readonly number[];
  /** The window that is drawn. */
  readonly window: Stretch;
  /** When the contact stood closed, within the window. */
  readonly closed: readonly Stretch[];
  /** When a flash fired by the first closure would light; null without a closure. */
  readonly flash: Stretch | null;
  readonly open80: number | null;
  readonly open90: number | null;
  readonly closing90: number | null;
}

/** More points than this are drawn as the least and the greatest of each group: no peak disappears. */
const MOST_POINTS = 1200;
/** Shown before the contact closes and after the flash has ended. ms */
const AROUND = 2;

/**
 * `clockPpm`: by how much the board's clock is fast, as far as the figures were corrected for it. Null for a
 * firing without samples.
 */
export function contactColumns(
  firing: Firing,
  figures: Figures,
  clockPpm: number,
  flashDuration: Seconds,
): ContactColumns | null {
  const { samples, tickHz } = firing;
  if (samples.length === 0) return null;
  const toMs = (ticks: number) => (1000 * ticksToSeconds(ticks, tickHz)) / (1 + clockPpm * 1e-6);
  const period = toMs(firing.ticksPerSample);
  const { levels, instants, contact } = figures;
  const origin = instants ? instants.firstLight * 1000 : 0;
  const end = (instants ? instants.lastLight * 1000 : samples.length * period) - origin;
  const fromFirst = (at: number | null | undefined) => (at == null ? null : at * 1000 - origin);

  const edges = firing.contact.map(({ tick, closed }) => ({
    at: toMs(tick - firing.firstTick) - origin,
    closed,
  }));
  const first = fromFirst(contact?.closed);
  const flash = first === null ? null : { from: first, to: first + flashDuration * 1000 };
  const margin = Math.max(1, 0.15 * end);
  const window = {
    from: Math.max(-origin, Math.min(-margin, (first ?? 0) - AROUND)),
    to: Math.min(
      samples.length * period - origin,
      Math.max(
        end + margin,
        (flash?.to ?? 0) + AROUND,
        Math.min((edges.at(-1)?.at ?? 0) + 1, end + 4 * AROUND),
      ),
    ),
  };
  const { time, light } = lightIn(samples, window, {
    period,
    origin,
    dark: levels?.dark ?? 0,
    height: levels && levels.open > levels.dark ? levels.open - levels.dark : firing.fullScale,
  });
  return {
    time,
    light,
    window,
    closed: closedStretches(edges, contact?.closedBefore ?? false, window),
    flash,
    open80: fromFirst(contact?.open80),
    open90: fromFirst(contact?.open90),
    closing90: fromFirst(contact?.closing90),
  };
}

function lightIn(
  samples: Uint8Array,
  window: Stretch,
  scale: { readonly period: number; readonly origin: number; readonly dark: number; readonly height: number },
) {
  const { period, origin, dark, height } = scale;
  const first = Math.max(0, Math.floor((window.from + origin) / period));
  const last = Math.min(samples.length, Math.ceil((window.to + origin) / period) + 1);
  const group = Math.max(1, Math.ceil((2 * (last - first)) / MOST_POINTS));
  const time: number[] = [];
  const light: number[] = [];
  const put = (i: number) => {
    time.push(i * period - origin);
    light.push((100 * (samples[i]! - dark)) / height);
  };
  for (let at = first; at < last; at += group) {
    let low = at;
    let high = at;
    for (let i = at; i < Math.min(last, at + group); i++) {
      if (samples[i]! < samples[low]!) low = i;
      if (samples[i]! > samples[high]!) high = i;
    }
    put(Math.min(low, high));
    if (low !== high) put(Math.max(low, high));
  }
  return { time, light };
}

function closedStretches(
  edges: readonly { readonly at: number; readonly closed: boolean }[],
  closedBefore: boolean,
  window: Stretch,
): readonly Stretch[] {
  const stretches: Stretch[] = [];
  let since = closedBefore ? window.from : null;
  const end = (to: number) => {
    const from = Math.max(window.from, since!);
    if (to > from) stretches.push({ from, to: Math.min(to, window.to) });
    since = null;
  };
  for (const { at, closed } of edges) {
    if (closed) since ??= at;
    else if (since !== null) end(at);
  }
  if (since !== null) end(window.to);
  return stretches.filter(({ from }) => from < window.to);
}

const holds = (stretch: Stretch, at: number): boolean => stretch.from <= at && at < stretch.to;

/** What stands at one place of the plot, in words. */
export function contactWords(columns: ContactColumns, place: number, withFlash: boolean): string {
  const at = columns.time[place];
  if (at === undefined) return '';
  const percent = String(Math.round(columns.light[place]!) || 0).replace('-', '−');
  return [
    `${Math.abs(at).toFixed(2)} ms ${at < -0.005 ? 'before' : 'after'} first light`,
    `${percent} % open`,
    `contact ${columns.closed.some((stretch) => holds(stretch, at)) ? 'closed' : 'open'}`,
    ...(withFlash && columns.flash && holds(columns.flash, at) ? ['flash lit'] : []),
  ].join(', ');
}

/** Where the plot is read first: at the closure, else at first light. */
export function firstPlace({ time, flash }: ContactColumns): number {
  const wanted = flash?.from ?? 0;
  return Math.max(
    0,
    time.findIndex((ms) => ms >= wanted),
  );
}
