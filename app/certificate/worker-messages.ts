import type { PaperContent } from './paper-content.ts';
import type { Enclosures, WritingStage } from './pdf-document.ts';

/** Page → worker. One worker does one task and is ended. */
export interface PaperTask {
  readonly task: 'write' | 'look beforehand';
  readonly content: PaperContent;
  readonly enclosed: Enclosures;
}

/** What could not be printed. */
export interface LeftOut {
  /** Characters printed as an open square because the fonts lack them or they run from right to left. */
  readonly unprintable: readonly string[];
  /** There is a logo, and it can't be read. */
  readonly logo: boolean;
  /** How many of the pictures can't be read. */
  readonly pictures: number;
}

/** Worker → page. */
export type PaperAnswer =
  | { readonly kind: 'progress'; readonly stage: WritingStage; readonly fraction: number }
  | { readonly kind: 'written'; readonly pdf: Uint8Array<ArrayBuffer>; readonly leftOut: LeftOut }
  | { readonly kind: 'looked'; readonly leftOut: LeftOut }
  /** A sentence for the user. */
  | { readonly kind: 'failed'; readonly reason: string };
