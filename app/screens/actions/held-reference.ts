/** The open level that is held for the next firings, and the number of the set-up it belongs to. */
import type { Firing, ReferenceEnd, ReferenceLevel } from '../../measure/figures.ts';
import { validReference } from '../../measure/reference-level.ts';
import { view } from '../view.ts';

/** Raised whenever light, job or state of assembly may have changed. */
let setUp = 0;

export const setUpNumber = (): number => setUp;

/** Takes up the open level as it stands after a firing or a light check. */
export function holdReference(next: {
  readonly reference: ReferenceLevel | null;
  readonly ended: ReferenceEnd | null;
}): void {
  view.setState(({ reference: { held, since, ended } }) => {
    if (next.reference !== null) {
      const same = held?.firstTick === next.reference.firstTick;
      return { reference: { held: next.reference, since: same ? since : Date.now(), ended: null } };
    }
    // Nothing was held: what is said of the last one stays true.
    return { reference: { held: null, since: null, ended: held === null ? ended : (next.ended ?? ended) } };
  });
}

/** The open level of a set-up that no longer stands must not be used again. */
export function dropReference(why: ReferenceEnd): void {
  setUp++;
  holdReference({ reference: null, ended: why });
}

/** The reference in force for a firing: of its own set-up, and neither too old nor of another session. */
export const referenceFor = (
  circumstances: { readonly setUp: number; readonly reference: ReferenceLevel | null },
  firing: Firing,
): ReferenceLevel | null =>
  validReference(
    circumstances.setUp === setUp ? view.getState().reference.held : circumstances.reference,
    firing,
  );
