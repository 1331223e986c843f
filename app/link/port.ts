/**
 * The one interface behind which a board may hide: native Web Serial, a USB CDC board without it, the practice
 * board, a recording.
 */
export type PortKind = 'serial' | 'usb' | 'practice' | 'recording';

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
  /**
   * Most boards are reset by it, and no software can prevent that. A port that was closed may be opened again.
   * `baudRate`: 500,000 when left out (firmware-protocol/line-speeds.ts).
   * @throws PortError
   */
  open(baudRate?: number): Promise<void>;
  /** Only one read may be pending. */
  read(): Promise<PortRead>;
  /** @throws PortError */
  write(bytes: Uint8Array): Promise<void>;
  /** A pending read then answers 'ended'. Never throws. */
  close(): Promise<void>;
  /**
   * Lets go of DTR and RTS and sets them again, which resets boards that are wired for it. Left out where there are
   * no such lines.
   * @throws PortError
   */
  pulseReset?(): Promise<void>;
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
