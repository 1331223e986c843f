export type JobFileErrorKind =
  | 'foreign' // no file of jobs
  | 'newer' // written by a newer Leafclock
  | 'damaged'
  | 'too large'
  | 'unreadable' // the browser could not read the file
  | 'cancelled'
  | 'failed'; // the database could not take it

/** Why a file of jobs was not written, read or imported. The message is for the user, in whole sentences. */
export class JobFileError extends Error {
  override readonly name = 'JobFileError';
  readonly kind: JobFileErrorKind;

  constructor(kind: JobFileErrorKind, message: string, cause?: unknown) {
    super(message, cause === undefined ? undefined : { cause });
    this.kind = kind;
  }
}

/** @throws JobFileError 'cancelled' once the user has given up. */
export function goOn(signal: AbortSignal | undefined): void {
  if (signal?.aborted) throw new JobFileError('cancelled', 'Cancelled. Nothing was changed.');
}
