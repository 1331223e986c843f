/** The open level of the present set-up: how it is taken from firings, and how long it holds. */
import type { Figures, Firing, ReferenceEnd, ReferenceLevel } from './figures.ts';
import { heldReference, presentUncertainty } from './open-level.ts';

/** One period of 100 Hz lamp flicker: a shorter plateau may stand on a crest. */
const LEAST_PLATEAU_SECONDS = 0.01;
/** From here on a newer plateau is as good as an older one, whatever its scatter. */
const LONG_PLATEAU_SECONDS = 0.05;
/** Lamps and supplies drift; an older reference says nothing about a firing now. */
const OLDEST_SECONDS = 1800;

/** What is held after a firing. */
export interface NextReference {
  readonly reference: ReferenceLevel | null;
  /** Why the one held so far holds no longer, whether another has taken its place or not; null if it does. */
  readonly ended: ReferenceEnd | null;
}

/**
 * The reference open level after one more firing: the one held so far, a new one, or none. It ends when the
 * board's time has gone back, when it is older than half an hour, and when a plateau disagrees with it by
 * more than 1 %; one that agrees renews it, if it is long or knows the level better than the old one does
 * at its age. On a new job or a new state of assembly the caller drops it (passes null).
 */
export function nextReference(
  current: ReferenceLevel | null,
  firing: Firing,
  figures: Figures,
): NextReference {
  const lapsed = lapsedBy(current, firing);
  const kept = lapsed === null ? current : null;
  const { levels } = figures;
  const has = (code: string) => figures.remarks.some((remark) => remark.code === code);
  const changed = kept !== null && has('light changed');
  const ended = changed ? 'light changed' : lapsed;
  // No level to hold on to; but what the light has done is seen in weak light and beyond the range as well.
  if (levels === null || has('saturated') || has('weak light') || has('truncated start')) {
    return { reference: changed ? null : kept, ended };
  }
  const length = plateauSeconds(figures);
  if (!ofAPlateau(levels.openOrigin) || length < LEAST_PLATEAU_SECONDS) {
    return { reference: changed ? null : kept, ended };
  }
  if (kept !== null && !changed && length < LONG_PLATEAU_SECONDS) {
    const known = presentUncertainty(heldReference(kept, ageOf(kept, firing)));
    if (levels.openUncertainty > known) return { reference: kept, ended };
  }
  const reference: ReferenceLevel = {
    height: levels.open - levels.dark,
    uncertainty: levels.openUncertainty,
    firstTick: firing.firstTick,
    origin: 'slow firing',
  };
  return { reference, ended };
}

/** The reference as far as it may be used for this firing: null when it is too old or of another session. */
export function validReference(current: ReferenceLevel | null, firing: Firing): ReferenceLevel | null {
  return lapsedBy(current, firing) === null ? current : null;
}

const ofAPlateau = (origin: string) => origin === 'plateau' || origin === 'plateau and reference';

/** Seconds. */
const ageOf = (reference: ReferenceLevel, firing: Firing): number =>
  (firing.firstTick - reference.firstTick) / firing.tickHz;

function lapsedBy(reference: ReferenceLevel | null, firing: Firing): ReferenceEnd | null {
  if (reference === null) return null;
  const age = ageOf(reference, firing);
  if (age < 0) return 'board restarted';
  return age > OLDEST_SECONDS ? 'too old' : null;
}

/** How long the shutter stood open; for one that was held open, to the end of the record. */
function plateauSeconds({ instants, remarks }: Figures): number {
  if (instants !== null) return instants.closingStart - instants.fullOpen;
  return remarks.find(({ code }) => code === 'never closed')?.value ?? 0;
}
