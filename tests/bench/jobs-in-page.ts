/** The page's side of the bench of jobs: bundled for the browser with the record's own code. */
import { openRecord } from '../../app/record/database.ts';
import { type FiringRow, splitFiring } from '../../app/record/firing-row.ts';
import { openLayout, type RecordDatabase } from '../../app/record/layout.ts';
import { sealEnvelope } from '../../app/record/schema.ts';
import { bareFiring, sampleFiring, sampleJob } from '../record/sample-records.ts';

export interface Amounts {
  readonly jobs: number;
  /** Of each job. */
  readonly firings: number;
  /** Every so many firings has samples; the others are of a board that times edges. */
  readonly samplesEvery: number;
}

/** As long as a firing at 1/60 with dark before and after it, at the normal rate. */
const SAMPLES = 3000;

const jobId = (index: number) => `invented-${index}`;
const complaintOf = (index: number) => `Invented complaint number ${index}: slow speeds drag.`;

/**
 * Fills the database of this origin with invented jobs, as a page of before there were summaries left it: the
 * records are of the present version, and no summary is there.
 */
async function fill({ jobs, firings, samplesEvery }: Amounts): Promise<void> {
  const database = await open();
  for (let index = 0; index < jobs; index++) {
    const tx = database.transaction(['jobs', 'firings', 'samples'], 'readwrite', { durability: 'relaxed' });
    const id = jobId(index);
    const received = new Date(Date.UTC(2020, 0, 1 + index)).toISOString();
    const camera = {
      ...sampleJob().camera,
      description: `Kittiwake ${index} (invented)`,
      bodySerial: `KW-${index}`,
    };
    const customer = { name: `Nobody ${index} (invented)`, contact: '' };
    const number = String(index + 1).padStart(4, '0');
    const job = sampleJob(id, {
      received,
      camera,
      customer,
      number,
      complaint: complaintOf(index),
      states: [{ state: 'received', at: received }],
    });
    void tx.objectStore('jobs').put({ id, ...sealEnvelope('job', job) });
    for (let ordinal = 1; ordinal <= firings; ordinal++) {
      const row = rowOf(id, ordinal, ordinal % samplesEvery === 0);
      void tx.objectStore('firings').put({ id: row.id, jobId: id, ...envelope, data: row });
      void tx.objectStore('samples').put(new Uint8Array(row.firing.sampleCount), row.id);
    }
    await tx.done;
  }
  database.close();
}

const open = (): Promise<RecordDatabase> => openLayout('leafclock', () => {});

const sampled = splitFiring(sampleFiring()).row;
const timed = splitFiring(bareFiring({ figures: sampled.figures })).row;
/** Checked once: two hundred thousand checks would only take time. */
const envelope = sealEnvelope('firing', sampled);
const MARKS = sampleJob().series.speeds.map(({ label }) => label);
const STAGES = ['as found', 'trials', 'as left'] as const;

function rowOf(job: string, ordinal: number, hasSamples: boolean): FiringRow {
  const row = hasSamples ? { ...sampled, firing: { ...sampled.firing, sampleCount: SAMPLES } } : timed;
  const at = new Date(Date.UTC(2020, 0, 1, 10, 0, ordinal)).toISOString();
  const mark = MARKS[ordinal % MARKS.length]!;
  const stage = STAGES[ordinal % STAGES.length]!;
  return { ...row, id: `${job}-${ordinal}`, jobId: job, ordinal, mark, stage, at };
}

const timeOf = async (act: () => Promise<unknown>): Promise<number> => {
  const begun = performance.now();
  await act();
  return performance.now() - begun;
};

/** Milliseconds of the first list, for which every summary is drawn from its job. Then they are there. */
async function timeFirstList(): Promise<number> {
  const record = await openRecord();
  const time = await timeOf(() => record.listJobs());
  record.close();
  return time;
}

interface ListTimes {
  readonly list: readonly number[];
  /** The summaries as the database gives them, unchecked. */
  readonly summaries: readonly number[];
  /** All jobs as the database gives them, unchecked: what a list without summaries would begin with. */
  readonly jobs: readonly number[];
}

/** In turns, so that whatever slows the machine slows all of them. */
async function timeLists(rounds: number): Promise<ListTimes> {
  const record = await openRecord();
  const database = await open();
  const times = { list: [] as number[], summaries: [] as number[], jobs: [] as number[] };
  for (let round = 0; round < rounds; round++) {
    times.list.push(await timeOf(() => record.listJobs()));
    times.summaries.push(await timeOf(() => database.getAll('summaries')));
    times.jobs.push(await timeOf(() => database.getAll('jobs')));
  }
  record.close();
  database.close();
  return times;
}

interface JobTimes {
  /** A job and its rows, read and checked. */
  readonly job: readonly number[];
  /** The rows as the database gives them, unchecked. */
  readonly rows: readonly number[];
}

/** A different job in each round, and the raw rows of another one, so that neither finds them read already. */
async function timeJobs(rounds: number, { jobs }: Amounts): Promise<JobTimes> {
  const record = await openRecord();
  const database = await open();
  const times = { job: [] as number[], rows: [] as number[] };
  for (let round = 0; round < rounds; round++) {
    const index = (round * 37) % jobs;
    const id = jobId(index);
    times.job.push(await timeOf(() => Promise.all([record.loadJob(id), record.loadFirings(id)])));
    const other = jobId((index + Math.floor(jobs / 2)) % jobs);
    times.rows.push(await timeOf(() => database.getAllFromIndex('firings', 'job', other)));
  }
  record.close();
  database.close();
  return times;
}

const frame = () => new Promise<number>((resolve) => requestAnimationFrame(resolve));

/** From a click to the frame after the one in which `there` is on the page. Milliseconds. */
async function clickToPainted(click: string, there: string): Promise<number> {
  const begun = performance.now();
  document.querySelector<HTMLElement>(click)!.click();
  while (!document.querySelector(there)) await frame();
  await frame();
  return performance.now() - begun;
}

/** The same for a job: its row in the list is clicked, and it is there once its complaint stands in its field. */
async function openToPainted(index: number): Promise<number> {
  const number = String(index + 1).padStart(4, '0');
  const begun = performance.now();
  document.querySelector<HTMLElement>(`[data-table=jobs] tr[data-job="${number}"] button`)!.click();
  const shown = () =>
    document.querySelector<HTMLTextAreaElement>('[data-field=complaint]')?.value === complaintOf(index);
  while (!shown()) await frame();
  await frame();
  return performance.now() - begun;
}

const keyTimes: number[] = [];
let watching = false;

/** Notes for each key from now on how long it took until it was painted: the second frame after it is counted. */
function watchKeys(): void {
  if (watching) return;
  watching = true;
  addEventListener(
    'keydown',
    ({ timeStamp }) => {
      requestAnimationFrame(() => requestAnimationFrame(() => keyTimes.push(performance.now() - timeStamp)));
    },
    { capture: true },
  );
}

/** Milliseconds, of the keys since the last call. */
const takeKeyTimes = (): number[] => keyTimes.splice(0);

/** What the bench calls in the page. */
export const inPage = {
  fill,
  timeFirstList,
  timeLists,
  timeJobs,
  clickToPainted,
  openToPainted,
  watchKeys,
  takeKeyTimes,
};
