/** Readings with a flash contact, for tests of what is said of it. */
import type { SyncReading } from '../../app/judge/flash-sync.ts';
import { type ContactFigures, NO_FIGURES } from '../../app/measure/figures.ts';
import { seconds } from '../../firmware-protocol/units.ts';

const ms = (time: number) => seconds(time / 1000);

/** Blades 80 % open at 1.25 ms, 90 % at 1.33 ms, and closed to 90 % again at 8 ms; sound contact at 1.4 ms. Times in ms. */
export function contactAt(closed: number | null, change: Partial<ContactFigures> = {}): ContactFigures {
  return {
    closed: closed === null ? null : ms(closed),
    closedBefore: false,
    bounces: 0,
    bounceTime: ms(0),
    parted: ms(12),
    closedTime: ms(10),
    lost: 0,
    openAtClosure: closed === null ? null : 0.97,
    open80: ms(1.25),
    open90: ms(1.33),
    closing90: ms(8),
    ...change,
  };
}

export const syncReading = (contact: ContactFigures | null, setAside: string | null = null): SyncReading => ({
  figures: { ...NO_FIGURES, contact },
  setAside,
});
