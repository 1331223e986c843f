import { checkPaper } from '../../app/certificate/attached-data.ts';
import { PaperError } from '../../app/certificate/attached-data-objects.ts';
import { readingsData, sha256Hex } from '../../app/certificate/data-file.ts';
import { writeJobFile } from '../../app/record/job-file.ts';
import { JobFileError } from '../../app/record/job-file-error.ts';
import { certificateOf } from '../certificate/attached-data-rig.ts';
import { inventedInput } from '../certificate/invented-job.ts';
import { partsText, richRecord } from '../record/job-file-rig.ts';
import { seededRandom } from '../seeded-random.ts';

type Bytes = Uint8Array<ArrayBuffer>;
type Random = () => number;

/** As disks, cables and mail programs damage files. Each gets the file and a place in it. */
const DAMAGES: Readonly<Record<string, (file: Bytes, at: number, random: Random) => Bytes>> = {
  'a bit flipped': (file, at, random) => file.with(at, file[at]! ^ (1 << (random() * 8))) as Bytes,
  'a byte changed': (file, at, random) => file.with(at, random() * 256) as Bytes,
  'some bytes changed': (file, at, random) => {
    const damaged = file.slice();
    for (let i = 0; i < 20; i++) damaged[((at + random() * 200) % file.length) | 0] = random() * 256;
    return damaged;
  },
  'cut off': (file, at) => file.slice(0, at),
  'beginning lost': (file, at) => file.slice(at),
  'bytes lost': (file, at, random) => joined(file.slice(0, at), file.slice(at + 1 + random() * 40)),
  'bytes put in': (file, at, random) =>
    joined(
      file.slice(0, at),
      Uint8Array.from({ length: 1 + random() * 8 }, () => random() * 256),
      file.slice(at),
    ),
  'a block doubled': (file, at, random) => joined(file.slice(0, at + random() * 512), file.slice(at)),
  'a block of zeros': (file, at, random) => file.slice().fill(0, at, at + 1 + random() * 512),
  'two blocks exchanged': (file, at, random) => {
    const other = (random() * file.length) | 0;
    const damaged = file.slice();
    damaged.set(file.slice(at, at + 64).subarray(0, file.length - other), other);
    damaged.set(file.slice(other, other + 64).subarray(0, file.length - at), at);
    return damaged;
  },
  'line ends translated': (file) => {
    const text = Buffer.from(file).toString('latin1').replaceAll('\n', '\r\n');
    return new Uint8Array(Buffer.from(text, 'latin1'));
  },
  'the high bit lost': (file) => file.map((byte) => byte & 0x7f),
  'two files one after the other': (file, at) => joined(file, file.slice(at)),
};

const joined = (...parts: readonly Uint8Array[]): Bytes => new Uint8Array(Buffer.concat(parts));

/**
 * `runs` damaged files of jobs and as many damaged certificates. A file of jobs must be refused with a sentence
 * or hold what it held; a certificate must never be said to agree when its data have changed.
 */
export async function damagedFileRuns(runs: number): Promise<boolean> {
  const { file } = await writeJobFile(await richRecord(), 'everything');
  const content = await partsText(file);
  const jobs = await damageRuns(
    'files of jobs',
    runs,
    new Uint8Array(await file.arrayBuffer()),
    async (damaged) => {
      try {
        return (await partsText(new Blob([damaged]))) === content ? 'unchanged' : 'CHANGED';
      } catch (error) {
        return error instanceof JobFileError && isSentence(error.message) ? 'refused' : 'NO SENTENCE';
      }
    },
  );

  const data = readingsData({ ...inventedInput(), firings: inventedInput().firings.slice(0, 4) });
  const sum = await sha256Hex(data);
  const papers = await damageRuns('certificates', runs, await certificateOf(data), async (damaged) => {
    try {
      const { outcome, sha256 } = await checkPaper(new Blob([damaged]));
      if (outcome !== 'agrees') return 'said not to agree';
      return sha256 === sum ? 'unchanged' : 'CHANGED';
    } catch (error) {
      return error instanceof PaperError && isSentence(error.message) ? 'refused' : 'NO SENTENCE';
    }
  });
  return jobs && papers;
}

const isSentence = (message: string) => /^[A-Z].*\.$/s.test(message);

async function damageRuns(
  what: string,
  runs: number,
  file: Bytes,
  judge: (damaged: Bytes) => Promise<string>,
): Promise<boolean> {
  const random = seededRandom(1);
  const kinds = Object.entries(DAMAGES);
  const counts: Record<string, number> = {};
  let same = 0;
  for (let run = 0; run < runs; run++) {
    const [kind, damage] = kinds[run % kinds.length]!;
    const damaged = damage(file, (random() * file.length) | 0, random);
    if (Buffer.from(damaged).equals(file)) {
      same += 1;
      continue;
    }
    const found = await judge(damaged);
    counts[found] = (counts[found] ?? 0) + 1;
    if (found === found.toUpperCase()) console.log(`  ${what}, ${kind}, run ${run}: ${found}`);
  }
  const words = Object.entries(counts).map(([found, count]) => `${count} ${found}`);
  console.log(
    `  ${runs} ${what} of ${file.length} bytes: ${[...words, `${same} not damaged at all`].join(', ')}`,
  );
  return !Object.keys(counts).some((found) => found === found.toUpperCase());
}
