/** What the writer of PDFs takes: any paper of the workshop. */
import type { CertificateContent } from './certificate.ts';
import type { JobSheetContent } from './job-sheet.ts';
import type { WorkingSpeedsCardContent } from './working-speeds-card.ts';

export type PaperContent = CertificateContent | WorkingSpeedsCardContent | JobSheetContent;
