/** Head and foot of every paper. */
import type { CertificateInput, PaperHead } from './certificate.ts';
import { textLines } from './particulars.ts';

/** @throws RangeError if `issued` is no date or the number is empty. */
export function paperHeadOf(
  { workshop, job, issued, paper, certificateNumber }: CertificateInput,
  {
    title,
    numberWords,
    practice,
  }: {
    readonly title: string;
    /** 'job sheet no.', in the middle of a sentence. */
    readonly numberWords: string;
    /** Some of its readings are of a simulated shutter. */
    readonly practice: boolean;
  },
): PaperHead {
  const number = certificateNumber.trim();
  if (number === '') throw new RangeError('A paper needs a number.');
  if (Number.isNaN(Date.parse(issued))) throw new RangeError(`“${issued}” is no date of issue.`);
  const name = workshop.name.trim();
  const numbered = `${numberWords} ${number}`;
  return {
    language: 'en',
    paper,
    issued,
    title,
    number,
    numberLine: numbered.charAt(0).toUpperCase() + numbered.slice(1),
    workshop: { name: name || 'Workshop not named', lines: textLines(workshop.address) },
    logoWords: `Logo of ${name || 'the workshop'}`,
    pageNotice: [practice ? 'Practice bench: simulated shutter' : '', job.invented ? 'Invented data' : '']
      .filter((words) => words !== '')
      .join(' · '),
    replacementNote: 'An open square (□) stands for a character that could not be printed.',
    endMark: `End of ${numbered}`,
  };
}
