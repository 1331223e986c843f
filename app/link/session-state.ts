/** What a session with a board can be in, and how its end is told. */
import type { Hello, Status } from '../../firmware-protocol/messages.ts';

export type LostReason = 'disconnected' | 'silent' | 'closed' | 'end of recording';
export type RefusedReason = 'could not open' | 'no introduction' | 'wrong protocol' | 'start refused';

export type SessionState =
  | { readonly phase: 'idle' }
  | { readonly phase: 'opening' }
  | { readonly phase: 'greeting' }
  | { readonly phase: 'live'; readonly hello: Hello; readonly status: Status | null }
  | { readonly phase: 'lost'; readonly reason: LostReason; readonly sentence: string }
  | { readonly phase: 'refused'; readonly reason: RefusedReason; readonly sentence: string };

export const lostSentence: Record<LostReason, string> = {
  disconnected:
    'The board is gone: the cable was pulled or the board lost power. Plug it in again; everything recorded is kept.',
  silent: 'The board has stopped sending. Check its cable and its power; everything recorded is kept.',
  closed: 'The connection was closed.',
  'end of recording': 'The recording has been played to its end.',
};
