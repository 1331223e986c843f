/** A file of jobs in which every word that may be free text tries to become markup or a script. All invented. */
import 'fake-indexeddb/auto';
import { openRecord } from '../../app/record/database.ts';
import type { Job } from '../../app/record/job.ts';
import { writeJobFile } from '../../app/record/job-file.ts';
import { sealEnvelope } from '../../app/record/schema.ts';
import { fullJob, sampleBoard, samplePicture, samplePreferences } from '../record/sample-job-parts.ts';
import { sampleFiring } from '../record/sample-records.ts';

/** hit() is the page's own witness (see openWatched in security.test.ts): nobody may ever call it. */
export const MARKUP =
  '"><img src=x onerror=hit()><svg onload=hit()></svg><script>hit()</script><a href=javascript:hit()>here</a>';
const ADDRESS = 'javascript:hit()//<b onmouseover=hit()>';
/** Of the mark that fires: also a key in records, in names of elements, and in the address of a row. */
const MARK = "'1/60'\"><img src=x onerror=hit()>";

export const SCRIPTED_DRAWING = new TextEncoder().encode(
  '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30" onload="hit()"><script>hit()</script>' +
    '<foreignObject width="40" height="30"><body xmlns="http://www.w3.org/1999/xhtml" onload="hit()"/>' +
    '</foreignObject><rect width="40" height="30"/></svg>',
);

/** The job with every string turned hostile that the record's own door lets through, and how many those are. */
function hostileJob(): { job: Job; turned: number } {
  const plain = fullJob(`job ${MARKUP}`, { removed: null });
  const job = JSON.parse(JSON.stringify(plain).replaceAll('"1/60"', JSON.stringify(MARK))) as Job;
  let turned = 0;
  const turn = (holder: Record<string, unknown>): void => {
    for (const [key, value] of Object.entries(holder)) {
      if (typeof value === 'object' && value !== null) turn(value as Record<string, unknown>);
      if (typeof value !== 'string' || value.includes('hit()') || key === 'picture') continue;
      holder[key] = turned % 2 === 0 ? MARKUP : ADDRESS;
      try {
        sealEnvelope('job', job);
        turned += 1;
      } catch {
        holder[key] = value;
      }
    }
  };
  turn(job as unknown as Record<string, unknown>);
  sealEnvelope('job', job);
  return { job, turned };
}

export async function hostileFile(): Promise<{ file: Buffer; turned: number }> {
  const record = await openRecord({ name: 'hostile' });
  const { job, turned } = hostileJob();
  await record.saveJob(job);
  const plain = sampleFiring();
  for (const ordinal of [1, 2, 3]) {
    await record.addFiring({
      ...plain,
      id: `firing ${ordinal} ${MARKUP}`,
      jobId: job.id,
      mark: MARK,
      ordinal,
      board: { ...plain.board, board: MARKUP, serial: ADDRESS, firmware: MARKUP, image: MARKUP },
      assembly: { ...plain.assembly, iris: MARKUP, attitude: MARKUP },
      setUp: { ...plain.setUp, note: MARKUP },
      setAside: ordinal === 3 ? MARKUP : null,
    });
  }
  const drawing = { type: 'image/png', width: 40, height: 30, bytes: SCRIPTED_DRAWING } as const;
  await record.savePicture(samplePicture({ ...drawing, jobId: job.id }));
  await record.saveWorkshop({ name: MARKUP, address: MARKUP, signatory: MARKUP, logo: drawing });
  await record.savePreferences({
    ...samplePreferences,
    series: samplePreferences.series.map((series) => ({ ...series, id: MARKUP, name: MARKUP })),
    programmes: [{ id: MARKUP, name: MARKUP, steps: [{ mark: MARK, firings: 2 }] }],
    checkLists: [{ id: MARKUP, name: MARKUP, items: [MARKUP, ADDRESS] }],
  });
  await record.noteBoard(sampleBoard({ board: MARKUP, serial: ADDRESS, firmware: MARKUP, image: MARKUP }));
  const { file, counts } = await writeJobFile(record, 'everything');
  if (counts.firings !== 3) throw new Error('The file lacks its firings');
  record.close();
  return { file: Buffer.from(await file.arrayBuffer()), turned };
}
