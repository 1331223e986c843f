/** The way from the line to the figures, as page and replay go it: reader → assembler → finder → figures. */
import type { StreamEvent } from '../../app/link/stream.ts';
import { StreamAssembler } from '../../app/link/stream-assembler.ts';
import type { Figures, Firing, ReferenceLevel } from '../../app/measure/figures.ts';
import { FiringFinder } from '../../app/measure/firing-finder.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import { nextReference } from '../../app/measure/reference-level.ts';
import { MessageReader } from '../../firmware-protocol/decode.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';

export interface ChainReading {
  readonly kind: 'firing' | 'spoilt' | 'never closed';
  readonly firing: Firing;
  readonly figures: Figures;
  /** What the firing was measured against. */
  readonly reference: ReferenceLevel | null;
}

/** Stream → readings, each channel with its own reference. */
export class Readings {
  readonly list: ChainReading[] = [];
  readonly #finder: FiringFinder;
  readonly #references = new Map<number, ReferenceLevel | null>();

  constructor(hello: Hello) {
    this.#finder = new FiringFinder({ tickHz: hello.tickHz, fullScale: 2 ** hello.bits - 1 });
  }

  take(event: StreamEvent): void {
    for (const found of this.#finder.push(event)) {
      if (found.kind !== 'firing' && found.kind !== 'spoilt' && found.kind !== 'never closed') continue;
      const { kind, firing } = found;
      const reference = this.#references.get(firing.channel) ?? null;
      const figures = measureFiring(firing, { reference });
      this.#references.set(firing.channel, nextReference(reference, firing, figures).reference);
      this.list.push({ kind, firing, figures, reference });
    }
  }
}

/** Bytes → readings. */
export class ReadingChain {
  readonly reader = new MessageReader();
  hello: Hello | null = null;
  #assembler: StreamAssembler | null = null;
  #readings: Readings | null = null;
  readonly #watch: (event: StreamEvent) => void;

  /** `hello`: what the board said of itself before these bytes; null if they contain it. */
  constructor(hello: Hello | null, watch: (event: StreamEvent) => void = () => {}) {
    this.#watch = watch;
    if (hello) this.#begin(hello);
  }

  get readings(): readonly ChainReading[] {
    return this.#readings?.list ?? [];
  }

  push(bytes: Uint8Array): void {
    this.reader.push(
      bytes,
      (message) => {
        if (message.type === 'hello' && !this.hello) this.#begin(message);
        else this.#assembler?.message(message);
      },
      () => this.#assembler?.damaged(),
      (unknown) => this.#assembler?.skipped(unknown.sequence),
    );
  }

  #begin(hello: Hello): void {
    this.hello = hello;
    const readings = new Readings(hello);
    this.#readings = readings;
    this.#assembler = new StreamAssembler(hello, (event) => {
      this.#watch(event);
      readings.take(event);
    });
  }
}
