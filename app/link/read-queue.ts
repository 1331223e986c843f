import type { PortRead } from './port.ts';

/** What a port has to say, in order, for one reader: a read waits until there is something. */
export class ReadQueue {
  #ready: PortRead[] = [];
  #waiting: ((read: PortRead) => void) | null = null;

  put(read: PortRead): void {
    const waiting = this.#waiting;
    this.#waiting = null;
    if (waiting) waiting(read);
    else this.#ready.push(read);
  }

  next(): Promise<PortRead> {
    const read = this.#ready.shift();
    if (read) return Promise.resolve(read);
    return new Promise((resolve) => {
      this.#waiting = resolve;
    });
  }

  clear(): void {
    this.#ready = [];
  }
}
