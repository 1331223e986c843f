/** A number that carries its unit in its type, so that ticks can't be averaged with seconds. */
declare const unit: unique symbol;
type Branded<Unit extends string> = number & { readonly [unit]: Unit };

/**
 * Ticks of the board's timer. On the wire they are 32 bits wide and wrap; everything behind the link
 * sees them unwrapped, as whole numbers that only grow.
 */
export type Ticks = Branded<'ticks'>;
export type Seconds = Branded<'seconds'>;
/** Exposure values: differences in stops, or error against a marked speed. Positive is slow (longer). */
export type Stops = Branded<'stops'>;

export const ticks = (n: number) => n as Ticks;
export const seconds = (n: number) => n as Seconds;
export const stops = (n: number) => n as Stops;

/** Length in seconds of `n` ticks of a timer that runs at `tickHz`. */
export const ticksToSeconds = (n: number, tickHz: number) => (n / tickHz) as Seconds;
