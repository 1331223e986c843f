/** How the workshop likes its jobs, papers and bench, and who it is: shown at once, then kept in this browser. */
import type { Workshop } from '../../record/job.ts';
import type { Preferences } from '../../record/preferences.ts';
import { view } from '../view.ts';
import { say } from './notices.ts';
import { isNewerDatabase, record } from './record.ts';
import { undoable, withoutChange } from './undo.ts';

type Part = 'preferences' | 'workshop';

/** Why what is kept could not be read; it is then not written over either. */
const unread: Record<Part, string | null> = { preferences: null, workshop: null };

function requireRead(part: Part): void {
  if (unread[part] !== null) throw new Error(`The settings were left as they are kept. ${unread[part]}`);
}

export async function loadPreferences(): Promise<void> {
  try {
    const kept = await record();
    const preferences = await kept.loadPreferences();
    if (preferences) view.setState({ preferences });
    unread.preferences = null;
    const { boards, unreadable } = await kept.loadBoards();
    view.setState({ boards });
    for (const { reason } of unreadable) say(`One known board can't be shown. ${reason}`, 'trouble');
  } catch (error) {
    unread.preferences = (error as Error).message;
    if (!isNewerDatabase(error)) say(`The settings could not be read. ${unread.preferences}`, 'trouble');
  }
}

export async function loadWorkshop(): Promise<void> {
  try {
    const workshop = await (await record()).loadWorkshop();
    if (workshop) view.setState({ workshop });
    unread.workshop = null;
  } catch (error) {
    unread.workshop = (error as Error).message;
    say(`Who the workshop is could not be read. ${unread.workshop}`, 'trouble');
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
      requireRead('preferences');
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
    show('workshop', workshop, instead, async () => {
      requireRead('workshop');
      await (await record()).saveWorkshop(workshop);
    });
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
function show<Shown extends Part>(
  part: Shown,
  value: { preferences: Preferences; workshop: Workshop }[Shown],
  instead: { preferences: Preferences; workshop: Workshop }[Shown],
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
