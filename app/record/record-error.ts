export type RecordErrorKind =
  | 'unavailable' // the browser offers no database here
  | 'newer database' // the database was laid out by a newer Leafclock
  | 'newer record' // one record was written by a newer Leafclock
  | 'damaged' // a stored record can't be read
  | 'refused' // what was to be written is not valid
  | 'missing' // there is nothing under this id
  | 'exists' // there is something under this id already
  | 'full'
  | 'aborted'
  | 'closed'
  | 'failed';

/**
 * Everything that can go wrong with the record. The message is a sentence for the user. When a write fails
 * with one of these, nothing of it was stored: the caller still has what it wanted to keep.
 */
export class RecordError extends Error {
  override readonly name = 'RecordError';
  readonly kind: RecordErrorKind;
  /** Where in the record, e.g. 'figures.levels.dark'; null when the record as a whole is meant. */
  readonly path: string | null;

  constructor(kind: RecordErrorKind, message: string, more: { path?: string; cause?: unknown } = {}) {
    super(message, more.cause === undefined ? undefined : { cause: more.cause });
    this.kind = kind;
    this.path = more.path ?? null;
  }
}

/**
 * By DOMException name, since newer browsers throw QuotaExceededError as a class of its own and an error
 * from another realm is no instance of ours.
 */
const BY_NAME: Readonly<Record<string, readonly [RecordErrorKind, string]>> = {
  QuotaExceededError: [
    'full',
    'The disk, or the space the browser allows this page, is full. Make room and try again.',
  ],
  AbortError: [
    'aborted',
    'The browser gave up writing. Try again; save a copy of the job if it happens again.',
  ],
  InvalidStateError: [
    'closed',
    'The connection to the database was closed. Try again, and do not close this page before it has worked.',
  ],
  ConstraintError: ['exists', 'There is already a record under this id, and it was not overwritten.'],
  DataCloneError: ['refused', 'This record holds something that can’t be stored.'],
  VersionError: [
    'newer database',
    'A newer Leafclock has opened the jobs on this computer, and this older one can’t read them. ' +
      'Load the new version; nothing was changed.',
  ],
  SecurityError: [
    'unavailable',
    'The browser keeps no data for this page. Private windows and strict cookie settings do that.',
  ],
};

/** Wraps whatever the database threw; `doing` begins the sentence, e.g. 'The firing was not recorded.' */
export function asRecordError(error: unknown, doing: string): RecordError {
  if (error instanceof RecordError) return error;
  const { name, message } = nameAndMessage(error);
  const [kind, sentence] =
    BY_NAME[name] ?? (['failed', `The database answered: ${message || name}.`] as const);
  return new RecordError(kind, `${doing} ${sentence}`, { cause: error });
}

function nameAndMessage(error: unknown): { name: string; message: string } {
  if (typeof error !== 'object' || error === null) return { name: 'unknown error', message: String(error) };
  const { name, message } = error as { name?: unknown; message?: unknown };
  return { name: String(name ?? 'unknown error'), message: String(message ?? '') };
}
