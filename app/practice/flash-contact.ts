/** The flash contact of the practice shutter: as the blades reach full open at X, ahead of them at M. */
import { type ContactChange, edgeInstant, type FiringPlan } from './firing-plan.ts';
import type { Random } from './random.ts';

export type ContactState = 'sound' | 'late' | 'dead' | 'bouncing';

/** Where its lever for flash stands. */
export const SYNC_SETTINGS = ['X', 'M'] as const;
export type PracticeSync = (typeof SYNC_SETTINGS)[number];

/** Open fraction at which a sound X contact closes: about when the blades reach full open. */
const CONTACT_FRACTION = 0.95;
/** Standard deviation from firing to firing, in seconds. */
const X_SPREAD = 20e-6;
/** How long before the blades are so far open a sound M contact closes, and how far that varies from firing to firing. */
const M_LEAD = 16e-3;
const M_FRACTION = 0.8;
const M_SPREAD = 0.3e-3;
/** What the delay of M adds between release and first light, so that the contact has its lead. */
export const M_DELAY = 18e-3;
/** Times after first closure at which the contact opens and closes again: two bounces. */
const BOUNCES = [90e-6, 150e-6, 260e-6, 300e-6];
/** A bad one goes on like that, each break and each touch so long at the most and at the least. */
const BAD_BOUNCES = 9;
const BOUNCE_LEAST = 60e-6;
const BOUNCE_MOST = 240e-6;
/** How late a contact comes that is out of adjustment: after the blades have closed at 1/125 and faster. */
const LATENESS = 9e-3;
/** The contact parts when the ring has run back, this long after the blades have closed. */
const CONTACT_RELEASE = 2e-3;
/** Shortest time it stays closed, however late it came, and after its last bounce. */
const CONTACT_LEAST = 3e-3;
const SETTLED_LEAST = 1.5e-3;

/** Closing and bouncing of the contact; when it parts again depends on the blades' closing. */
export function contactClosing(
  plan: FiringPlan,
  state: ContactState,
  sync: PracticeSync,
  random: Random,
): readonly ContactChange[] {
  if (state === 'dead' || plan.outcome === 'does not fire') return [];
  const soundAt =
    sync === 'X'
      ? edgeInstant(plan.opening, CONTACT_FRACTION)
      : edgeInstant(plan.opening, M_FRACTION) - M_LEAD;
  const spread = sync === 'X' ? X_SPREAD : M_SPREAD;
  const at = (state === 'late' ? soundAt + LATENESS : soundAt) + spread * random.normal();
  const stretch = random.logNormal(0.15);
  const delays = state === 'bouncing' ? badBounces(random) : BOUNCES.map((delay) => delay * stretch);
  const closing: ContactChange[] = [{ at, closed: true }];
  for (const [index, delay] of delays.entries()) {
    closing.push({ at: at + delay, closed: index % 2 === 1 });
  }
  return closing;
}

function badBounces(random: Random): number[] {
  let delay = 0;
  return Array.from({ length: 2 * BAD_BOUNCES }, () => {
    delay += BOUNCE_LEAST + (BOUNCE_MOST - BOUNCE_LEAST) * random.uniform();
    return delay;
  });
}

/** Adds the contact's parting, if it closed and if it is known when the blades close. */
export function withContactOpening(
  plan: FiringPlan,
  closing: readonly ContactChange[],
): readonly ContactChange[] {
  const first = closing[0];
  if (first === undefined || !Number.isFinite(plan.fullyOpen)) return closing;
  const bladesClosed = plan.opening.duration + plan.fullyOpen + plan.closing.duration;
  const parts = Math.max(
    bladesClosed + CONTACT_RELEASE,
    first.at + CONTACT_LEAST,
    closing.at(-1)!.at + SETTLED_LEAST,
  );
  return [...closing, { at: parts, closed: false }];
}
