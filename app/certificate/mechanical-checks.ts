/** Mechanical checks on paper: a table overleaf, a sentence for the customer, and the names of those not made. */

import { MECHANICAL_STATES, type MechanicalCheck, type MechanicalState } from '../judge/camera-checks.ts';
import type { Job } from '../record/job.ts';
import type { CertificateTable } from './certificate.ts';
import { DASH } from './stops-text.ts';

const made = ({ mechanics }: Pick<Job, 'mechanics'>) =>
  mechanics.filter(({ state }) => state !== 'not tested');

/** A line for each check that was made; no table without one. */
export function mechanicalTables(job: Job): readonly CertificateTable[] {
  const rows = made(job).map(({ name, state, note }) => [nameOf(name), state, note.trim() || DASH]);
  if (rows.length === 0) return [];
  return [
    {
      heading: 'Mechanical checks',
      columns: [
        { head: 'Looked at', align: 'left' },
        { head: 'State', align: 'left' },
        { head: 'Note', align: 'left' },
      ],
      rows,
      notes: ['By eye and hand, without measuring instruments unless the note says so.'],
    },
  ];
}

/** What is well is counted, all else named: 'Mechanical checks: 12 good; fault: Light seals (crumbling).' */
export function mechanicalSentences(job: Job): readonly string[] {
  const checks = made(job);
  if (checks.length === 0) return [];
  const groups = MECHANICAL_STATES.flatMap((state): string[] => {
    const own = checks.filter((check) => check.state === state);
    if (own.length === 0) return [];
    return [
      state === 'good' ? `${own.length} good` : `${state}: ${own.map(namedWithNote(state)).join(', ')}`,
    ];
  });
  return [`Mechanical checks: ${groups.join('; ')}.`];
}

const namedWithNote =
  (state: MechanicalState) =>
  ({ name, note }: MechanicalCheck) =>
    state === 'not fitted' || note.trim() === ''
      ? nameOf(name)
      : `${nameOf(name)} (${note.trim().replace(/\.$/, '')})`;

const nameOf = (name: string) => name.trim() || 'without a name';

/** Names of the checks that were not made. `elsewhere`: those that readings of another kind stand for. */
export const mechanicsNotTested = ({ mechanics }: Job, elsewhere: ReadonlySet<string>): readonly string[] =>
  mechanics
    .filter(({ name, state }) => state === 'not tested' && !elsewhere.has(name.trim().toLowerCase()))
    .map(({ name }) => nameOf(name));
