/**
 * What is remembered of sampling rates in this browser: the user's setting, and boards for which the fast rate
 * failed, so that the next connection does not try it in vain.
 */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import { keep, readKept } from './kept-in-browser.ts';

/** 'automatic': the fast rate where the line proves clean. */
export type RateSetting = 'automatic' | 'normal';

const SETTING = 'leafclock.sampling-rate';
const FAILED = 'leafclock.fast-rate-failed';

/** Kind of a board, by its USB ids; null where a port has none. */
export type BoardKind = string;

export const boardKind = (vendor: number | undefined, product: number | undefined): BoardKind | null =>
  vendor === undefined || product === undefined ? null : `${hex(vendor)}:${hex(product)}`;

interface Failure {
  readonly why: string;
  /** The firmware that was on the board: another one is worth another try. */
  readonly image: number;
}

export function loadRateSetting(): RateSetting {
  return readKept(SETTING) === 'normal' ? 'normal' : 'automatic';
}

export function saveRateSetting(setting: RateSetting): void {
  keep(SETTING, setting);
}

/** Why the fast rate is not tried with a board of this kind; null when it may be. */
export function fastRateFailed(kind: BoardKind): string | null {
  return failures()[kind]?.why ?? null;
}

export function rememberFailure(kind: BoardKind, why: string, { image }: Pick<Hello, 'image'>): void {
  keep(FAILED, JSON.stringify({ ...failures(), [kind]: { why, image } satisfies Failure }));
}

/** A board of this kind has introduced itself: with another firmware it gets another chance, next time. */
export function forgetFailureOfOtherFirmware(kind: BoardKind, { image }: Pick<Hello, 'image'>): void {
  const failure = failures()[kind];
  if (failure && failure.image !== image) forgetFailure(kind);
}

export function forgetFailure(kind: BoardKind): void {
  const { [kind]: _, ...others } = failures();
  keep(FAILED, JSON.stringify(others));
}

function failures(): Readonly<Record<BoardKind, Failure>> {
  try {
    const kept: unknown = JSON.parse(readKept(FAILED) ?? '{}');
    if (typeof kept !== 'object' || kept === null) return {};
    return Object.fromEntries(Object.entries(kept).filter(([, failure]) => isFailure(failure)));
  } catch {
    return {};
  }
}

const isFailure = (value: unknown): value is Failure =>
  typeof value === 'object' &&
  value !== null &&
  'why' in value &&
  typeof value.why === 'string' &&
  'image' in value &&
  typeof value.image === 'number';

const hex = (id: number) => id.toString(16).padStart(4, '0');
