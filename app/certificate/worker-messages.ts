import type { CertificateContent } from './certificate.ts';
import type { WritingStage } from './pdf.ts';

/** Page → worker. One worker does one task and is ended. */
export interface CertificateTask {
  readonly task: 'write' | 'check characters';
  readonly content: CertificateContent;
}

/** Worker → page. */
export type CertificateAnswer =
  | { readonly kind: 'progress'; readonly stage: WritingStage; readonly fraction: number }
  | {
      readonly kind: 'written';
      readonly pdf: Uint8Array<ArrayBuffer>;
      readonly unprintable: readonly string[];
    }
  | { readonly kind: 'characters'; readonly unprintable: readonly string[] }
  /** A sentence for the user. */
  | { readonly kind: 'failed'; readonly reason: string };
