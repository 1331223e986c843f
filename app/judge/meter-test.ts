/** The readings of a camera's exposure meter against light of known strength. */
import type { Stops } from '../../firmware-protocol/units.ts';

/** How the meter is read; at a needle mark the setting is noted at which the needle meets it. */
export type MeterNotation = 'EV' | 'f-number and time' | 'needle mark';

export interface MeterPoint {
  readonly id: string;
  /** cd/m² with a constant K (light reflected), lx with C (light falling in). Above zero. */
  readonly light: number;
  readonly reading: { readonly ev: number } | { readonly fNumber: number; readonly seconds: number };
  readonly note: string;
}

export interface MeterTest {
  readonly notation: MeterNotation;
  /** Film speed the meter was set to. */
  readonly iso: number;
  readonly constant: { readonly kind: 'K' | 'C'; readonly value: number };
  readonly cell: 'not stated' | 'selenium' | 'CdS' | 'silicon';
  /** Volts; null: none, or not stated. */
  readonly battery: number | null;
  /** Where the light's strength is known from. `uncertainty`: expanded (about 95 %), null if not stated. */
  readonly source: { readonly words: string; readonly uncertainty: Stops | null };
  readonly points: readonly MeterPoint[];
}
