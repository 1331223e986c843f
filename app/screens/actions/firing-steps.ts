/** What the user does to a firing that has been filed; each step can be taken back. */
import type { FiringRow } from '../../record/firing-row.ts';
import { view } from '../view.ts';
import { say } from './notices.ts';
import { rowOf } from './open-rows.ts';
import { adopt, isUnwritten } from './readings.ts';
import { record } from './record.ts';
import { undoable } from './undo.ts';

/** Files a firing under another mark. */
export function moveFiring(id: string, mark: string): void {
  const row = rowOf(id);
  if (!row || row.mark === mark) return;
  void alter(row, `firing ${row.ordinal} moved from ${row.mark} to ${mark}`, (kept) =>
    kept.moveFiring(row.id, mark),
  );
}

/** Leaves a firing out of the statistics for a reason, or with null takes it in again. */
export function setAside(id: string, reason: string | null): void {
  const row = rowOf(id);
  if (!row) return;
  if (row.firing.spoilt !== null) {
    say(`Firing ${row.ordinal} turned out spoilt: it is not counted anyway.`);
    return;
  }
  const words = `firing ${row.ordinal} ${reason === null ? 'brought back' : 'set aside'}`;
  void alter(row, words, (kept) => kept.setAside(row.id, reason));
}

/** The user says whether the shutter was exercised before a firing that came after a rest: then it counts. */
export function setExercised(id: string, exercised: boolean): void {
  const row = rowOf(id);
  if (!row || row.exercised === exercised) return;
  const words = `firing ${row.ordinal} ${exercised ? 'counted in spite of the rest' : 'kept apart again'}`;
  void alter(row, words, (kept) => kept.setExercised(row.id, exercised));
}

/** Looks at an earlier or later reading. */
export function lookBack(step: number): void {
  const { readings, shown } = view.getState();
  const at = readings.findIndex((r) => r.id === shown);
  const next = readings[Math.min(readings.length - 1, Math.max(0, (at < 0 ? readings.length : at) + step))];
  if (next) view.setState({ shown: next.id });
}

type Kept = Awaited<ReturnType<typeof record>>;

async function alter(
  row: FiringRow,
  words: string,
  how: (kept: Kept) => Promise<{ readonly previous: FiringRow; readonly current: FiringRow }>,
): Promise<void> {
  if (isUnwritten(row.id)) {
    say('This firing is not recorded yet: record it first.', 'trouble');
    return;
  }
  try {
    const { previous, current } = await how(await record());
    adopt(current);
    // Steps of a job that is no longer open are forgotten with it.
    if (view.getState().job?.id !== row.jobId) return;
    undoable(words, async () => adopt((await (await record()).restoreFiring(previous)).current));
  } catch (error) {
    say((error as Error).message, 'trouble');
  }
}
