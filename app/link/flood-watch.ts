/** Times what the line can carry, that a port may bring: boards with USB of their own know no line speed. */
const MARGIN = 4;
/** Bytes ahead of that, at which a port is given up: twice what the browser holds back for a page that is busy. */
export const FLOOD_BYTES = 2 << 20;
/** Bytes ahead, at which the page sees to its other work between two reads. */
const BUSY_BYTES = 64 << 10;

/** Whether more comes than the line could carry. */
export class FloodWatch {
  readonly #perMs: number;
  #ahead = 0;
  #at = 0;

  constructor(baudRate: number) {
    // Ten bits a byte: start, eight, stop.
    this.#perMs = (MARGIN * baudRate) / 10 / 1000;
  }

  /** So many bytes have come, at this time in ms. */
  take(bytes: number, at: number): void {
    const passed = Math.max(0, at - this.#at);
    this.#ahead = Math.max(0, this.#ahead - passed * this.#perMs) + bytes;
    this.#at += passed;
  }

  /** Reads come one upon the other: without a pause between them nothing else would ever have its turn. */
  get isBusy(): boolean {
    return this.#ahead > BUSY_BYTES;
  }

  get isFlooded(): boolean {
    return this.#ahead > FLOOD_BYTES;
  }
}

/** Lets the page do what waits. A message, not a timer: timers of a hidden page may wait for a minute. */
export function pauseForOthers(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(null);
  });
}
