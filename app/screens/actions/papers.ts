import type { CertificateContent, Paper } from '../../certificate/certificate.ts';
import { certificateContent } from '../../certificate/content.ts';
import { view } from '../view.ts';
import { plainName, saveFile } from './files.ts';
import { say } from './notices.ts';
import { certifiedFirings, unwrittenCount } from './readings.ts';

/**
 * Writes the certificate of the open job and hands it to the user. Resolves to the file's name. The writer,
 * the PDF library and the fonts are loaded now, not with the page.
 *
 * @throws Error with a sentence when it can't be written.
 */
export async function saveCertificate(
  paper: Paper,
  progress: (words: string, part: number) => void,
): Promise<string> {
  const { job, readings, workshop, unreadable } = view.getState();
  if (!job) throw new Error('No job is open.');
  const waiting = unwrittenCount(job.id);
  if (waiting > 0)
    throw new Error(`${waiting} firings of this job are not recorded yet. Record them on the bench first.`);
  const issued = new Date();
  const certificateNumber = `${job.number}-${stamp(issued)}`;
  const content = certificateContent({
    workshop,
    job,
    firings: certifiedFirings(readings, job),
    issued: issued.toISOString(),
    certificateNumber,
    paper,
    timeZone: ownTimeZone(),
    unreadable,
  });
  const { writeCertificate } = await import('../../certificate/certificate-writer.ts');
  const { pdf, unprintable } = await writeCertificate(content, progress);
  const name = `${['certificate', certificateNumber, plainName(job.camera.description)].filter(Boolean).join('-')}.pdf`;
  saveFile(name, pdf);
  if (unprintable.length > 0)
    say(
      `These characters could not be printed and stand as open squares: ${unprintable.join(' ')}`,
      'trouble',
    );
  return name;
}

export const ownTimeZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone;

/**
 * Characters of the content that can't be printed, so that the user is told beforehand. Plain ASCII and
 * Latin-1 always print: for them neither writer nor fonts are loaded.
 */
export async function unprintableIn(content: CertificateContent): Promise<readonly string[]> {
  if (![...JSON.stringify(content)].some(isUncommon)) return [];
  try {
    const { unprintableCharacters } = await import('../../certificate/certificate-writer.ts');
    return await unprintableCharacters(content);
  } catch {
    // Saving will say what is wrong with the writer; this question can't be answered.
    return [];
  }
}

/** Beyond Latin-1 and the signs the certificate itself uses. */
const isUncommon = (character: string) => character > 'ÿ' && !'–—−±×·…“”‘’→∫°≤≥□'.includes(character);

/** Second of issue, so that two papers of one job never carry the same number. */
const stamp = (date: Date): string => {
  const two = (n: number) => String(n).padStart(2, '0');
  const day = `${date.getFullYear()}${two(date.getMonth() + 1)}${two(date.getDate())}`;
  return `${day}-${two(date.getHours())}${two(date.getMinutes())}${two(date.getSeconds())}`;
};
