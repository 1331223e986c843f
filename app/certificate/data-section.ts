/** The readings that travel with the paper, and how to tell whether they are still the same. */

import type { DataFile, Section } from './certificate.ts';

/** 64 hexadecimal digits in groups of eight, so that an eye can compare them. */
export const hashInGroups = (sha256: string): string => sha256.replace(/.{8}(?=.)/g, '$& ');

export function dataSection({ name, sha256 }: DataFile): Section {
  return {
    heading: 'Readings as data',
    paragraphs: [
      `What was read and checked is attached to the PDF of this paper as the file ${name}, without the customer's name. SHA-256 of that file:`,
      hashInGroups(sha256),
      'To check it: open the PDF or the file in Leafclock under Papers, “Check a paper”. Any program that computes a SHA-256 does as well: if a single digit differs, the file is not the one that this paper was written with.',
    ],
    items: [],
  };
}
