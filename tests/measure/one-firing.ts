/** The plainest stream with a firing in it. */
import { plainOpening } from './light-stream.ts';

export const TEN = plainOpening(0.01);
export const NO_REFERENCE = { reference: null };
export const ONE_FIRING = { seconds: 1, openings: [{ at: 0.5, opening: TEN }] };
