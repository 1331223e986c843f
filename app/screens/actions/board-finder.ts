/** Which firings are looked for in the stream of a board, by what the board says of itself. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { ContactState } from '../../measure/contact-state.ts';
import { FiringFinder } from '../../measure/firing-finder.ts';
import { loadNeverCloses } from './settings.ts';

export const newFinder = (hello: Hello, contact: ContactState | null) =>
  new FiringFinder({
    tickHz: hello.tickHz,
    fullScale: 2 ** hello.bits - 1,
    // One channel makes the readings: with more, one release would count as several firings.
    channels: [lowestChannel(hello)],
    neverClosesSeconds: loadNeverCloses(),
    contactClosed: contact?.closed ?? null,
  });

export const lowestChannel = ({ channels }: Hello): number => 31 - Math.clz32(channels & -channels);
