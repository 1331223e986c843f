/** What a session with a board can be in, and how its end is told. */
import type { Hello, Status } from '../../firmware-protocol/messages.ts';

export type LostReason = 'disconnected' | 'silent' | 'closed' | 'end of recording';
export type RefusedReason =
  | 'could not open'
  | 'in another tab' // another tab of this page has a board
  | 'nothing heard' // no byte, or a few stray ones
  | 'sends text' // a modem, a printer, other firmware
  | 'wrong speed' // bytes as they are heard of a sender that is slower
  | 'not a tester' // bytes that are no frames, or an introduction that can't be true
  | 'no introduction' // good frames, but no answer
  | 'older protocol' // another firmware cures that
  | 'wrong protocol' // a newer one: another page does
  | 'start refused'
  | 'fast rate failed' // it does without one, or the trial was not clean
  | 'sends too much'
  | 'keeps resetting';

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

export const tooMuch =
  'This port sends more than any tester can, and was closed. It is another device or a board that has gone wrong: ' +
  'unplug it, or choose another port.';

const FIRMWARE_HELPS: readonly RefusedReason[] = [
  'nothing heard',
  'sends text',
  'wrong speed',
  'not a tester',
  'older protocol',
];

/** Whether the port may belong to a board that only lacks the right firmware. */
export const mayLackFirmware = (state: SessionState): boolean =>
  state.phase === 'refused' && FIRMWARE_HELPS.includes(state.reason);
