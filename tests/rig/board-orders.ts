/** What a test and the process of its emulated board say to each other. */
import type { ResetCause } from '../../app/practice/board.ts';
import type { ShutterCondition } from '../../app/practice/conditions.ts';
import type { LightLevels } from '../../app/practice/light.ts';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { BuiltBootLoader } from './board-programs.ts';
import type { Damage, DamageOptions } from './line-damage.ts';

/** How the process is started; handed over as the one argument, in JSON. */
export interface BoardSettings {
  /** The program pty-bridge. */
  readonly bridge: string;
  /** Path of the link that the browser opens. */
  readonly device: string;
  /** File in which the stand-in libudev writes down changes of modem lines; the terminal's number is added. */
  readonly modemLines: string;
  /** File of the firmware, Intel HEX; null for an empty program memory. */
  readonly image: string | null;
  /** Where the board starts, or null: then it has no boot loader. */
  readonly bootLoader: BuiltBootLoader | null;
  readonly seed: number;
  /** Emulated seconds for each real one. */
  readonly pace: number;
  /** From opening the port to the firmware's start, in ms: the bootloader's time. */
  readonly bootTime: number;
}

export type Order =
  | { readonly order: 'plug' }
  | { readonly order: 'hang up' }
  | { readonly order: 'reset'; readonly cause: ResetCause }
  | { readonly order: 'mute'; readonly on: boolean }
  | { readonly order: 'hold up'; readonly on: boolean }
  | { readonly order: 'dial'; readonly mark: string }
  | { readonly order: 'condition'; readonly condition: ShutterCondition }
  | { readonly order: 'governor'; readonly quarterTurns: number }
  | { readonly order: 'light'; readonly levels: LightLevels }
  | { readonly order: 'press' }
  | { readonly order: 'let go' }
  | { readonly order: 'free blades' }
  | { readonly order: 'fire' }
  | { readonly order: 'hold open'; readonly seconds: number }
  | { readonly order: 'read program' }
  | {
      readonly order: 'damage';
      readonly toPage: DamageOptions | null;
      readonly toBoard: DamageOptions | null;
    };

export interface NumberedOrder {
  readonly id: number;
  readonly order: Order;
}

/** A damage done on the line, and the board's cycles between which its byte went by. */
export interface LineDamageReport {
  readonly kind: Damage['kind'];
  readonly direction: 'to page' | 'to board';
  readonly fromCycle: number;
  readonly toCycle: number;
}

export interface LineState {
  readonly isOpen: boolean;
  /** Baud set by the page. */
  readonly speed: number;
  /** Bytes that found the line full, since it was plugged in. */
  readonly dropped: number;
  /** Bytes that arrived as others because page and board were set to different speeds. */
  readonly atWrongSpeed: number;
}

export type Report =
  | { readonly report: 'started' }
  /**
   * The shutter has come to rest, or stands open. Each firing once, as it really was. `lastLightAt`: when its last
   * light went by the machine's monotonic clock (process.hrtime), in ms; not later than that, and earlier only by
   * what the board lagged behind the clock. NaN if nothing closed.
   */
  | { readonly report: 'fired'; readonly firing: TrueFiring; readonly lastLightAt: number }
  | { readonly report: 'damaged'; readonly damages: readonly LineDamageReport[] }
  | { readonly report: 'line'; readonly state: LineState }
  /** Program memory as it stands, for 'read program', and how many pages of the boot loader were to be overwritten. */
  | {
      readonly report: 'program';
      readonly id: number;
      readonly bytes: Uint8Array;
      readonly bootLoaderWrites: number;
    }
  /** `firing`: what 'fire' and 'hold open' led to. */
  | { readonly report: 'done'; readonly id: number; readonly firing: TrueFiring | null }
  | { readonly report: 'refused'; readonly id: number; readonly reason: string };
