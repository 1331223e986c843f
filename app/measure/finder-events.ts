import type { Ticks } from '../../firmware-protocol/units.ts';
import type { Firing } from './figures.ts';

/**
 * not dark yet: there is light, or too little dark so far; light that comes now is no firing, or a spoilt one
 * if a gap has just cost the dark.
 * armed: dark for long enough, the next light is a firing.
 * open: light of a firing. closing: its light has gone, the record runs on for rebound and dark.
 */
export type FinderState = 'not dark yet' | 'armed' | 'open' | 'closing';

export type FinderEvent =
  | { readonly kind: 'state'; readonly channel: number; readonly state: FinderState }
  | {
      /** Live light, five times a second, in codes: the mean since the last one, and the dark known so far. */
      readonly kind: 'level';
      readonly channel: number;
      readonly tick: Ticks;
      readonly light: number;
      readonly dark: number | null;
    }
  /** Soon after the light has gone; the complete firing follows, or a spoilt one in its place. */
  | { readonly kind: 'provisional'; readonly firing: Firing }
  | { readonly kind: 'firing'; readonly firing: Firing }
  /** Still open after the time set; the record ends here and the finder waits for dark. */
  | { readonly kind: 'never closed'; readonly firing: Firing }
  | { readonly kind: 'spoilt'; readonly firing: Firing };

export interface FinderOptions {
  readonly tickHz: number;
  /** Highest code the converter can give. */
  readonly fullScale: number;
  /** Channels to look at; all that come when left out. */
  readonly channels?: readonly number[];
  /** Light that lasts longer is reported as never closed. Seconds; 90 when left out. */
  readonly neverClosesSeconds?: number;
  /** Dark wanted before a firing. Seconds; 0.1 when left out. */
  readonly armAfterSeconds?: number;
  /** Whether the flash contact stands closed as the finder begins (contact-state.ts); null or left out: nobody knows. */
  readonly contactClosed?: boolean | null;
}
