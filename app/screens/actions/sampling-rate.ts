/** At which rate a board is spoken to, and the user's say in it. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import { RATE_LOSSES } from '../../link/rate-watch.ts';
import type { RefusedReason } from '../../link/session-state.ts';
import { view } from '../view.ts';
import type { FoundPort } from './choose-port.ts';
import type { Line } from './connection-in-use.ts';
import {
  fastRateFailed,
  forgetFailureOfOtherFirmware,
  loadRateSetting,
  rememberFailure,
} from './rate-memory.ts';

/** How a port is opened first. A recording has the rate it was made at. */
export function firstLine({ port, kind }: FoundPort): Line {
  const at = (whyNotFast: string | null): Line => ({
    port,
    kind,
    rate: whyNotFast === null && port.kind !== 'recording' ? 'fast' : 'normal',
    whyNotFast,
    hasFailed: false,
  });
  if (loadRateSetting() === 'normal') return at('The setting asks for the normal rate.');
  return at(kind === null ? null : fastRateFailed(kind));
}

/** The same port after the fast rate has failed. */
export const normalLine = (line: Line, whyNotFast: string): Line => ({
  ...line,
  rate: 'normal',
  whyNotFast,
  hasFailed: true,
});

/** What no other rate would change. */
const NOT_OF_THE_RATE: readonly RefusedReason[] = [
  'older protocol',
  'wrong protocol',
  'sends too much',
  'keeps resetting',
];

/** Why the fast rate is not used, when a session at it was refused; null when that had nothing to do with the rate. */
export function failureOfFast(reason: RefusedReason, sentence: string): string | null {
  if (NOT_OF_THE_RATE.includes(reason)) return null;
  return reason === 'fast rate failed' ? sentence : 'The board did not answer at the fast rate.';
}

export const tooManyLosses =
  `At the fast rate parts of the stream were lost ${RATE_LOSSES} times within a minute, so the normal rate is used. ` +
  'A short cable straight to the computer may cure that; then try the fast rate again under Settings, Boards.';

/** The board has introduced itself on this line: shows the rate, and keeps in mind what has failed. */
export function rateInForce(line: Line, hello: Hello): void {
  const { port, kind, rate, hasFailed } = line;
  const isSampled = hello.kind === 'samples' && port.kind !== 'recording';
  const why =
    line.whyNotFast !== null && hasFailed && hello.firmware === FIRMWARE_WITHOUT
      ? 'The board’s firmware has no fast rate: put the present one on it.'
      : line.whyNotFast;
  view.setState({ rate: isSampled ? { inUse: rate, whyNotFast: why } : null });
  if (kind === null || why === null) return;
  if (hasFailed) rememberFailure(kind, why, hello);
  else forgetFailureOfOtherFirmware(kind, hello);
}

/** The last one that knew only the normal rate. */
const FIRMWARE_WITHOUT = '1.0';
