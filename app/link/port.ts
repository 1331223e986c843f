/**
 * The one interface behind which a board may hide: native Web Serial, the practice board, a recording.
 * (The polyfill for USB CDC boards gets its own file here and this same interface.)
 */
export type PortKind = 'serial' | 'practice' | 'recording';

export type PortRead =
  | {
      readonly kind: 'bytes';
      readonly bytes: Uint8Array;
      /** Arrival on the page's monotonic clock, in milliseconds. */
      readonly at: number;
    }
  /** The port reported a fault that is not fatal (overrun, framing, parity, break): bytes are missing. */
  | { readonly kind: 'fault'; readonly name: string }
  /** No more bytes will come. */
  | { readonly kind: 'ended'; readonly cause: 'closed' | 'disconnected' | 'end of recording' };

export interface BoardPort {
  readonly kind: PortKind;
  /** @throws PortError */
  open(): Promise<void>;
  /** Only one read may be pending. */
  read(): Promise<PortRead>;
  /** @throws PortError */
  write(bytes: Uint8Array): Promise<void>;
  /** A pending read then answers 'ended'. Never throws. */
  close(): Promise<void>;
}

export type PortErrorCode = 'busy' | 'no permission' | 'gone' | 'write failed' | 'failed';

/** A port that can't be used, with a sentence for the user. */
export class PortError extends Error {
  override readonly name = 'PortError';
  constructor(
    readonly code: PortErrorCode,
    sentence: string,
  ) {
    super(sentence);
  }
}
