/** The X contact of the practice shutter: closes as the blades reach full open, and bounces. */
import { type ContactChange, edgeInstant, type FiringPlan } from './firing-plan.ts';
import type { Random } from './random.ts';

export type ContactState = 'sound' | 'late' | 'dead';

/** Open fraction at which a sound X contact closes: about when the blades reach full open. */
const CONTACT_FRACTION = 0.95;
/** Times after first closure at which the contact opens and closes again: two bounces. */
const BOUNCES = [90e-6, 150e-6, 260e-6, 300e-6];
/** How late a contact comes that is out of adjustment: after the blades have closed at 1/125 and faster. */
const LATENESS = 9e-3;
/** The contact parts when the ring has run back, this long after the blades have closed. */
const CONTACT_RELEASE = 2e-3;
/** Shortest time it stays closed, however late it came. */
const CONTACT_LEAST = 3e-3;

/** Closing and bouncing of the X contact; when it parts again depends on the blades' closing. */
export function contactClosing(
  plan: FiringPlan,
  state: ContactState,
  random: Random,
): readonly ContactChange[] {
  if (state === 'dead' || plan.outcome === 'does not fire') return [];
  const soundAt = edgeInstant(plan.opening, CONTACT_FRACTION);
  const at = (state === 'late' ? soundAt + LATENESS : soundAt) + 40e-6 * random.normal();
  const stretch = random.logNormal(0.15);
  const closing: ContactChange[] = [{ at, closed: true }];
  for (const [index, delay] of BOUNCES.entries()) {
    closing.push({ at: at + delay * stretch, closed: index % 2 === 1 });
  }
  return closing;
}

/** Adds the contact's parting, if it closed and if it is known when the blades close. */
export function withContactOpening(
  plan: FiringPlan,
  closing: readonly ContactChange[],
): readonly ContactChange[] {
  const first = closing[0];
  if (first === undefined || !Number.isFinite(plan.fullyOpen)) return closing;
  const bladesClosed = plan.opening.duration + plan.fullyOpen + plan.closing.duration;
  return [
    ...closing,
    { at: Math.max(bladesClosed + CONTACT_RELEASE, first.at + CONTACT_LEAST), closed: false },
  ];
}
