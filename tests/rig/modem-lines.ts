import fs from 'node:fs';
import path from 'node:path';

/** Watches the modem lines of one pseudo-terminal, which the stand-in libudev writes down (libudev-stand-in.c). */
export class ModemLines {
  readonly #file: string;
  #read: number;
  #dtrIsDown = false;

  /** `device`: the link to the pseudo-terminal. `log`: without the terminal's number. */
  constructor(log: string, device: string) {
    this.#file = `${log}.${path.basename(fs.readlinkSync(device))}`;
    this.#read = this.#size(); // terminals' numbers are used again
  }

  /** Whether DTR was let go and set again since the last look: boards are wired so that this resets them. */
  pulsed(): boolean {
    const size = this.#size();
    if (size <= this.#read) return false;
    const lines = fs.readFileSync(this.#file, 'utf8').slice(this.#read).split('\n').slice(0, -1);
    let pulsed = false;
    for (const line of lines) {
      this.#read += line.length + 1;
      const isDown = line.startsWith('DTR=0');
      pulsed ||= this.#dtrIsDown && !isDown;
      this.#dtrIsDown = isDown;
    }
    return pulsed;
  }

  #size(): number {
    return fs.statSync(this.#file, { throwIfNoEntry: false })?.size ?? 0;
  }
}
