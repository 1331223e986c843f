/** Whose camera it is, which one, and when what was done: the head of the first page. */

import type { CertificateInput, Field, FieldGroup } from './certificate.ts';
import { type Calendar, dateOf, datesOf } from './dates.ts';
import type { StageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';

/** `stages`: as found and as left. */
export function particulars(
  { job, issued }: CertificateInput,
  stages: readonly StageResult[],
  calendar: Calendar,
): readonly FieldGroup[] {
  const { camera, customer } = job;
  return [
    {
      heading: 'Customer',
      fields: [
        field('Name', customer.name),
        field('Contact', customer.contact),
        field('Complaint', job.complaint),
        field('Job', job.number),
      ],
    },
    {
      heading: 'Camera',
      fields: [
        field('Item', camera.description),
        field('Body no.', camera.bodySerial),
        field('Shutter', camera.shutter),
        field('Shutter no.', camera.shutterSerial),
        field('Lens', camera.lens),
        field('Lens no.', camera.lensSerial),
      ],
    },
    {
      heading: 'Dates',
      fields: [
        field('Received', dateOf(job.received, calendar)),
        ...stages.map(({ stage, firings }) =>
          field(
            stage === 'as found' ? 'As found' : 'As left',
            datesOf(
              firings.map(({ at }) => at),
              calendar,
            ),
          ),
        ),
        field('Issued', dateOf(issued, calendar)),
      ],
    },
  ];
}

function field(label: string, text: string): Field {
  const lines = textLines(text);
  return { label, lines: lines.length === 0 ? [DASH] : lines };
}

export const textLines = (text: string): readonly string[] =>
  text
    .split(/\r\n|[\n\r\u2028\u2029]/)
    .map((line) => line.trim())
    .filter((line) => line !== '');
