/** What the page and the worker with the practice board say to each other. */
import type { ShutterCondition } from './conditions.ts';
import type { LeadState } from './contact-line.ts';
import type { PracticeSync } from './flash-contact.ts';
import type { LightLevels } from './light.ts';
import type { PracticeState } from './practice-state.ts';

export type ToPracticeWorker =
  /**
   * First message. `image`: the firmware as Intel HEX text; `clockPpm`: how much its resonator is fast; `baudRate`:
   * at which the page speaks and listens.
   */
  | {
      readonly type: 'power on';
      readonly image: string;
      readonly seed: number;
      readonly clockPpm: number;
      readonly baudRate: number;
    }
  | { readonly type: 'bytes'; readonly bytes: Uint8Array<ArrayBuffer> }
  | { readonly type: 'reset board' }
  | { readonly type: 'dial'; readonly mark: string }
  | { readonly type: 'press' }
  | { readonly type: 'let go' }
  | { readonly type: 'hold open'; readonly seconds: number }
  | { readonly type: 'free blades' }
  | { readonly type: 'governor'; readonly quarterTurns: number }
  | { readonly type: 'condition'; readonly condition: ShutterCondition }
  | { readonly type: 'light'; readonly levels: LightLevels }
  | { readonly type: 'iris'; readonly stopsDown: number }
  | { readonly type: 'seen share'; readonly share: number }
  | { readonly type: 'sync'; readonly setting: PracticeSync }
  | { readonly type: 'self-timer' }
  | { readonly type: 'lead'; readonly state: LeadState }
  | { readonly type: 'touch contact'; readonly seconds: number };

export type FromPracticeWorker =
  | { readonly type: 'bytes'; readonly bytes: Uint8Array<ArrayBuffer> }
  | { readonly type: 'state'; readonly state: PracticeState }
  /** The board can't run on; the worker does nothing more. */
  | { readonly type: 'failed'; readonly reason: string };
