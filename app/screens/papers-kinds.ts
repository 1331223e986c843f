/** The papers that a job can be given, each with what it is for. */
import type { CertificateInput } from '../certificate/certificate.ts';
import { certificateContent } from '../certificate/content.ts';
import { jobSheetContent } from '../certificate/job-sheet.ts';
import type { PaperContent } from '../certificate/paper-content.ts';
import { workingSpeedsCardContent } from '../certificate/working-speeds-card.ts';
import type { IssuedPaper } from '../record/job.ts';
import type { Preferences } from '../record/preferences.ts';

export interface PaperKind {
  readonly kind: IssuedPaper['kind'];
  /** As the workshop calls it, in the middle of a sentence. */
  readonly name: (papers: Preferences['papers']) => string;
  /** For whom, and what it holds. */
  readonly purpose: string;
  /** The readings are attached to its PDF. */
  readonly carriesData: boolean;
  readonly content: (input: CertificateInput) => PaperContent;
}

export const PAPER_KINDS: readonly PaperKind[] = [
  {
    kind: 'certificate',
    name: ({ title }) => title,
    purpose: 'for the customer, with the measuring overleaf',
    carriesData: true,
    content: certificateContent,
  },
  {
    kind: 'working speeds card',
    name: () => 'working speeds card',
    purpose: 'for the camera case: what each mark really gives, and what to set',
    carriesData: false,
    content: workingSpeedsCardContent,
  },
  {
    kind: 'job sheet',
    name: () => 'job sheet',
    purpose: 'for the workshop’s own file, with the pictures picked for it',
    carriesData: false,
    content: jobSheetContent,
  },
];
