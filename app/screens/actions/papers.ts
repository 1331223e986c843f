/** Papers of the open job: written, handed to the user, and noted in the job. */
import type { CertificateInput, Paper } from '../../certificate/certificate.ts';
import type { PaperContent } from '../../certificate/paper-content.ts';
import type { Enclosures } from '../../certificate/pdf-document.ts';
import type { LeftOut } from '../../certificate/worker-messages.ts';
import type { Job } from '../../record/job.ts';
import type { PaperKind } from '../papers-kinds.ts';
import { type View, view } from '../view.ts';
import { plainName, saveFile } from './files.ts';
import { noteInJob } from './jobs.ts';
import { changeKeptJob } from './jobs-list.ts';
import { say } from './notices.ts';
import { certifiedFirings, unwrittenCount } from './readings.ts';
import { record } from './record.ts';

type Shown = Pick<View, 'readings' | 'workshop' | 'preferences' | 'unreadable'>;

/** What a paper is made from, before it has a number of its own: for looking at. */
export const previewInput = (job: Job, shown: Shown, paper: Paper): CertificateInput =>
  inputFor(job, shown, paper, { issued: new Date().toISOString(), certificateNumber: `${job.number}-…` });

const inputFor = (
  job: Job,
  { readings, workshop, preferences: { papers }, unreadable }: Shown,
  paper: Paper,
  issue: Pick<CertificateInput, 'issued' | 'certificateNumber'>,
): CertificateInput => ({
  ...issue,
  workshop,
  job,
  firings: certifiedFirings(readings, job),
  paper,
  title: papers.title,
  dates: papers.dates,
  dataFile: null,
  timeZone: ownTimeZone(),
  unreadable,
});

/**
 * Writes a paper of the open job, hands it to the user and notes it in the job. Resolves to the file's name. The
 * writer, the PDF library and the fonts are loaded now, not with the page.
 *
 * @throws Error with a sentence when it can't be written.
 */
export async function savePaper(
  kind: PaperKind,
  paper: Paper,
  progress: (words: string, part: number) => void,
): Promise<string> {
  const shown = view.getState();
  const { job, workshop, preferences } = shown;
  if (!job) throw new Error('No job is open.');
  const waiting = unwrittenCount(job.id);
  if (waiting > 0)
    throw new Error(
      `${waiting} ${waiting === 1 ? 'firing of this job is' : 'firings of this job are'} not recorded yet. Record ${waiting === 1 ? 'it' : 'them'} on the bench first.`,
    );
  const now = new Date();
  const certificateNumber = ownNumber(job, now);
  const at = now.toISOString();
  const plain = inputFor(job, shown, paper, { issued: at, certificateNumber });
  const data = kind.carriesData ? await dataFileOf(plain) : null;
  const dataFile = data && { name: data.name, sha256: data.sha256 };
  const content = kind.content({ ...plain, dataFile });
  const { writePaper } = await import('../../certificate/certificate-writer.ts');
  const enclosed = await enclosedWith(content, workshop.logo, data);
  const { pdf, leftOut } = await writePaper(content, enclosed, progress);
  const words = kind.name(preferences.papers).replaceAll(' ', '-');
  const name = `${[words, certificateNumber, plainName(job.camera.description)].filter(Boolean).join('-')}.pdf`;
  saveFile(name, pdf);
  for (const sentence of leftOutSentences(leftOut)) say(sentence, 'trouble');
  await noteIssued(job, {
    kind: kind.kind,
    number: certificateNumber,
    at,
    dataSha256: data?.sha256 ?? null,
  });
  return name;
}

async function dataFileOf(input: CertificateInput) {
  const { dataFileName, readingsData, sha256Hex } = await import('../../certificate/data-file.ts');
  const bytes = readingsData(input);
  return { name: dataFileName(input.certificateNumber), bytes, sha256: await sha256Hex(bytes) };
}

/** The user has the paper by now: that it couldn't be noted must not look as if it couldn't be written. */
async function noteIssued(job: Job, paper: Job['issued'][number]): Promise<void> {
  try {
    const note = (now: Job): Job => ({ ...now, issued: [...now.issued, paper] });
    if (view.getState().job?.id === job.id) await noteInJob(note);
    // Another one was opened while the paper was written.
    else await changeKeptJob(job.id, note, '');
  } catch (error) {
    say(
      `The paper ${paper.number} was saved, but could not be noted in job ${job.number}. ${(error as Error).message}`,
      'trouble',
    );
  }
}

/** Logo, data and pictures, as far as the paper shows them. */
async function enclosedWith(
  content: PaperContent,
  logo: Enclosures['logo'],
  dataFile: Enclosures['dataFile'],
): Promise<Enclosures> {
  if (content.kind === 'working speeds card') return { logo: null, dataFile };
  if (content.kind === 'certificate' || content.pictures.length === 0) return { logo, dataFile };
  const kept = await record();
  const pictures = await Promise.all(
    content.pictures.map(({ id }) => kept.loadPicture(id).catch(() => null)),
  );
  return { logo, dataFile, pictures: pictures.filter((picture) => picture !== null) };
}

export function leftOutSentences({ unprintable, logo, pictures }: LeftOut): readonly string[] {
  return [
    ...(unprintable.length === 0
      ? []
      : [
          `${unprintable.length === 1 ? 'This character' : 'These characters'} can’t be printed and ${unprintable.length === 1 ? 'stands' : 'stand'} as open squares on the paper: ${unprintable.join(' ')}`,
        ]),
    ...(logo
      ? [
          'The logo can’t be read and is left out of the paper. Choose it anew under Settings, as PNG or JPEG.',
        ]
      : []),
    ...(pictures === 0
      ? []
      : [
          `${pictures === 1 ? 'One picture' : `${pictures} pictures`} picked for this paper can’t be read and ${pictures === 1 ? 'is' : 'are'} left out of it.`,
        ]),
  ];
}

const ownTimeZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone;

/**
 * What could not be printed, so that the user is told beforehand. Without logo and pictures, plain ASCII and Latin-1
 * always print: for them neither writer nor fonts are loaded.
 */
export async function lookBeforehand(content: PaperContent): Promise<LeftOut> {
  const { logo } = view.getState().workshop;
  const enclosing = logo !== null || (content.kind === 'job sheet' && content.pictures.length > 0);
  if (!enclosing && ![...JSON.stringify(content)].some(isUncommon)) return NOTHING_LEFT_OUT;
  try {
    const enclosed = await enclosedWith(content, logo, null);
    const { leftOutOf } = await import('../../certificate/certificate-writer.ts');
    return await leftOutOf(content, enclosed);
  } catch {
    // Saving will say what is wrong with the writer; this question can't be answered.
    return NOTHING_LEFT_OUT;
  }
}

export const NOTHING_LEFT_OUT: LeftOut = { unprintable: [], logo: false, pictures: 0 };

/** Beyond Latin-1 and the signs the papers themselves use. */
const isUncommon = (character: string) => character > 'ÿ' && !'–—−±×·…†“”‘’→∫°≤≥□√∞'.includes(character);

/** Also of papers that are still being written. */
const numbersGiven = new Set<string>();

/** The second of issue, and a count where two papers of a job fall into one: no two carry the same number. */
function ownNumber(job: Job, now: Date): string {
  const first = `${job.number}-${stamp(now)}`;
  const taken = new Set([...numbersGiven, ...job.issued.map(({ number }) => number)]);
  let number = first;
  for (let count = 2; taken.has(number); count++) number = `${first}-${count}`;
  numbersGiven.add(number);
  return number;
}

const stamp = (date: Date): string => {
  const two = (n: number) => String(n).padStart(2, '0');
  const day = `${date.getFullYear()}${two(date.getMonth() + 1)}${two(date.getDate())}`;
  return `${day}-${two(date.getHours())}${two(date.getMinutes())}${two(date.getSeconds())}`;
};
