/** How the workshop likes its jobs, papers and bench, and who it is: shown at once, then kept in this browser. */
import type { Workshop } from '../../record/job.ts';
import type { Preferences } from '../../record/preferences.ts';
import { view } from '../view.ts';
import { say } from './notices.ts';
import { record } from './record.ts';
import { undoable, withoutChange } from './undo.ts';

/** Why the kept preferences could not be read; they are then not written over either. */
let unread: string | null = null;

export async function loadPreferences(): Promise<void> {
  try {
    const kept = await record();
    const preferences = await kept.loadPreferences();
    if (preferences) view.setState({ preferences });
    unread = null;
    const { boards, unreadable } = await kept.loadBoards();
    view.setState({ boards });
    for (const { reason } of unreadable) say(`One known board can't be shown. ${reason}`, 'trouble');
  } catch (error) {
    unread = (error as Error).message;
    say(`The settings could not be read. ${unread}`, 'trouble');
  }
}

let writing: Promise<void> = Promise.resolve();

/** Resolves once every change made so far is written or refused. */
export const preferencesWritten = (): Promise<void> => writing;

/**
 * Changes the preferences. With `words`, which complete the sentence "Undone: …", the change can be taken
 * back; a change that overwrites nothing, such as the date of a copy, goes without.
 */
export function savePreferences(change: (preferences: Preferences) => Preferences, words?: string): void {
  const before = view.getState().preferences;
  const after = change(before);
  if (after === before) return;
  const put = (preferences: Preferences, instead: Preferences) =>
    show('preferences', preferences, instead, async () => {
      if (unread !== null) throw new Error(`The settings were left as they are kept. ${unread}`);
      await (await record()).savePreferences(preferences);
    });
  const back = () => {
    const now = view.getState().preferences;
    return put(withoutChange(now, before, after), now);
  };
  keep(put(after, before), words, back);
}

/** The same for the workshop's own particulars. */
export function changeWorkshop(change: (workshop: Workshop) => Workshop, words: string): void {
  const before = view.getState().workshop;
  const after = change(before);
  const put = (workshop: Workshop, instead: Workshop) =>
    show('workshop', workshop, instead, async () => (await record()).saveWorkshop(workshop));
  const back = () => {
    const now = view.getState().workshop;
    return put(withoutChange(now, before, after), now);
  };
  keep(put(after, before), words, back);
}

function keep(written: Promise<void>, words: string | undefined, back: () => Promise<void>): void {
  const forget = words === undefined ? () => {} : undoable(words, back);
  written.catch((error: Error) => {
    forget();
    say(error.message, 'trouble');
  });
}

/** Shows a value and writes it after those before it; with the other one back on show when it can't be written. */
function show<Part extends 'preferences' | 'workshop'>(
  part: Part,
  value: { preferences: Preferences; workshop: Workshop }[Part],
  instead: { preferences: Preferences; workshop: Workshop }[Part],
  write: () => Promise<void>,
): Promise<void> {
  view.setState({ [part]: value });
  const written = writing.then(async () => {
    try {
      await write();
    } catch (error) {
      if (view.getState()[part] === value) view.setState({ [part]: instead });
      throw error;
    }
  });
  writing = written.catch(() => {});
  return written;
}
