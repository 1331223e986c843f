/** Whose camera it is, which one, and when what was done: the head of the first page. */

import type { CertificateInput, FieldGroup } from './certificate.ts';
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
  const dates = ({ stage, firings }: StageResult): Row => {
    const fired = firings.map(({ at }) => at);
    return [stage === 'as found' ? 'As found' : 'As left', datesOf(fired, calendar)];
  };
  return [
    group('Customer', [
      ['Name', customer.name],
      ['Contact', customer.contact],
      ['Complaint', job.complaint],
      ['Job', job.number],
    ]),
    group('Camera', [
      ['Item', camera.description],
      ['Body no.', camera.bodySerial],
      ['Shutter', camera.shutter],
      ['Shutter no.', camera.shutterSerial],
      ['Lens', camera.lens],
      ['Lens no.', camera.lensSerial],
    ]),
    group('Dates', [
      ['Received', dateOf(job.received, calendar)],
      ...stages.map(dates),
      ['Issued', dateOf(issued, calendar)],
    ]),
  ];
}

type Row = readonly [label: string, text: string];

const group = (heading: string, rows: readonly Row[]): FieldGroup => ({
  heading,
  fields: rows.map(([label, text]) => {
    const lines = textLines(text);
    return { label, lines: lines.length === 0 ? [DASH] : lines };
  }),
});

export const textLines = (text: string): readonly string[] =>
  text
    .split(/\r\n|[\n\r\u2028\u2029]/)
    .map((line) => line.trim())
    .filter((line) => line !== '');
