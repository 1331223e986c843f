import { BAUD_RATES, type LineRate } from '../../firmware-protocol/line-speeds.ts';
import { FloodWatch, pauseForOthers } from './flood-watch.ts';
import type { BoardPort, PortRead } from './port.ts';

export interface PortListener {
  bytes(bytes: Uint8Array, at: number): void;
  fault(): void;
  /** More comes than the line could carry. Told again and again until the port is closed. */
  flooded(): void;
  ended(cause: Extract<PortRead, { kind: 'ended' }>['cause']): void;
}

/**
 * Reads a port to its end. Between reads that come one upon the other the page has its turn, so that a port that
 * floods stops nothing; what no line carries is no longer handed on.
 */
export async function readPort(port: BoardPort, rate: LineRate, listener: PortListener): Promise<void> {
  const isLine = port.kind === 'serial' || port.kind === 'usb';
  const flood = isLine ? new FloodWatch(BAUD_RATES[rate]) : null;
  for (;;) {
    const read = await port.read().catch((): PortRead => ({ kind: 'ended', cause: 'disconnected' }));
    if (read.kind === 'ended') {
      listener.ended(read.cause);
      return;
    }
    if (read.kind === 'bytes') {
      flood?.take(read.bytes.length, read.at);
      if (flood?.isFlooded) listener.flooded();
      else listener.bytes(read.bytes, read.at);
    } else listener.fault();
    // Faults may come one upon the other as well.
    if (flood?.isBusy || read.kind === 'fault') await pauseForOthers();
  }
}
