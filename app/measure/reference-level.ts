import type { Figures, Firing, ReferenceLevel } from './figures.ts';

/** One period of 100 Hz lamp flicker: a shorter plateau may stand on a crest. */
const LEAST_PLATEAU_SECONDS = 0.01;
/** From here on a newer plateau is as good as an older one, whatever its scatter. */
const LONG_PLATEAU_SECONDS = 0.05;
/** Lamps and supplies drift; an older reference says nothing about a firing now. */
const OLDEST_SECONDS = 1800;

/**
 * The reference open level after one more firing: the one held so far, a new one, or none. It is dropped
 * when the board's time has gone back, when it is older than half an hour, and when a plateau disagrees
 * with it by more than 1 %. On a new job or a new state of assembly the caller drops it (passes null).
 */
export function nextReference(
  current: ReferenceLevel | null,
  firing: Firing,
  figures: Figures,
): ReferenceLevel | null {
  const kept = validReference(current, firing);
  const { levels } = figures;
  const has = (code: string) => figures.remarks.some((remark) => remark.code === code);
  if (levels === null || has('saturated') || has('weak light') || has('truncated start')) return kept;

  const changed = has('light changed');
  if (levels.openOrigin !== 'plateau') return changed ? null : kept;
  const length = plateauSeconds(figures);
  if (length < LEAST_PLATEAU_SECONDS) return changed ? null : kept;
  if (
    kept !== null &&
    !changed &&
    length < LONG_PLATEAU_SECONDS &&
    levels.openUncertainty > kept.uncertainty
  ) {
    return kept;
  }
  return {
    height: levels.open - levels.dark,
    uncertainty: levels.openUncertainty,
    firstTick: firing.firstTick,
  };
}

/** The reference as far as it may be used for this firing: null when it is too old or of another session. */
export function validReference(current: ReferenceLevel | null, firing: Firing): ReferenceLevel | null {
  return current !== null && isStillOf(current, firing) ? current : null;
}

function isStillOf(reference: ReferenceLevel, firing: Firing): boolean {
  const age = (firing.firstTick - reference.firstTick) / firing.tickHz;
  return age >= 0 && age <= OLDEST_SECONDS;
}

/** How long the shutter stood open; for one that was held open, to the end of the record. */
function plateauSeconds({ instants, remarks }: Figures): number {
  if (instants !== null) return instants.closingStart - instants.fullOpen;
  return remarks.find(({ code }) => code === 'never closed')?.value ?? 0;
}
