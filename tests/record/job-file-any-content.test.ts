/**
 * Files that no checksum betrays: refused with a sentence before anything is written, or taken in as they stand. A job
 * is in the record whole or not at all.
 */
import fc from 'fast-check';
import { beforeAll, expect, it } from 'vitest';
import { LocalRecord } from '../../app/record/database.ts';
import { importJobFile, type JobFile, readJobFile, writeJobFile } from '../../app/record/job-file.ts';
import { JobFileError } from '../../app/record/job-file-error.ts';
import { jobFileParts } from '../../app/record/job-file-parts.ts';
import { openLayout } from '../../app/record/layout.ts';
import { linesOf, packed, packedText, richRecord } from './job-file-rig.ts';
import { freshName, silent } from './record-under-test.ts';

let lines: string[];

beforeAll(async () => {
  lines = await linesOf((await writeJobFile(await richRecord(), 'everything')).file);
});

async function readOrRefused(file: Blob): Promise<JobFile | null> {
  try {
    return await readJobFile(file);
  } catch (error) {
    if (!(error instanceof JobFileError)) throw error;
    expect(error.message).toMatch(/^[A-Z].*\.$/s);
    return null;
  }
}

it('any bytes, any text and any JSON in the wrapping of a file of jobs', async () => {
  const json = fc.jsonValue({ maxDepth: 4 }).map((value) => JSON.stringify(value));
  const file = fc.oneof(
    fc.uint8Array({ maxLength: 300 }).map((bytes) => new Blob([new Uint8Array(bytes)])),
    fc.uint8Array({ maxLength: 300 }).map((bytes) => new Blob([Uint8Array.of(0x1f, 0x8b, ...bytes)])),
    fc.uint8Array({ maxLength: 300 }).map((bytes) => packedText(bytes)),
    fc.array(json, { maxLength: 6 }).map(packed),
    fc.array(json, { maxLength: 6 }).map((list) => packed([lines[0]!, ...list])),
    fc
      .tuple(
        fc.constantFrom('job', 'firing', 'picture', 'workshop', 'preferences', 'known board', 'end'),
        json,
      )
      .map(([kind, record]) =>
        packed([lines[0]!, `{"kind":"${kind}","record":${record},"counts":${record}}`]),
      ),
  );
  await fc.assert(
    fc.asyncProperty(file, async (blob) => {
      expect(await readOrRefused(blob)).toBeNull();
    }),
    { seed: 40, numRuns: 300 },
  );
});

it('a character or a value changed within a line: what is taken in is what the file says, job by whole job', async () => {
  const change = fc.tuple(
    fc.constantFrom('character', 'digit'),
    fc.nat(),
    fc.nat(),
    fc.integer({ min: 32, max: 126 }),
  );
  let taken = 0;
  let refused = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(change, { minLength: 1, maxLength: 2 }), async (changes) => {
      let text = lines;
      for (const [what, line, column, code] of changes) {
        const at = line % text.length;
        const places = [...text[at]!.matchAll(what === 'digit' ? /\d/g : /./g)];
        const place = places[column % places.length]!.index;
        const character = what === 'digit' ? String(code % 10) : String.fromCharCode(code);
        text = text.with(at, `${text[at]!.slice(0, place)}${character}${text[at]!.slice(place + 1)}`);
      }
      const blob = packed(text);
      const file = await readOrRefused(blob);
      if (file === null) {
        refused++;
        return;
      }
      taken++;
      const record = new LocalRecord(await openLayout(freshName(), silent));
      const report = await importJobFile(record, file, 'replace');
      const bundles = [];
      for await (const part of jobFileParts(blob, () => {}))
        if (part.kind === 'job') bundles.push(part.bundle);
      const out = new Set(report.refused.map(({ job }) => job.id));
      for (const bundle of bundles) {
        const there = (await record.listJobs()).jobs.some(({ id }) => id === bundle.job.id);
        expect(there).toBe(!out.has(bundle.job.id));
        if (there) expect(await record.loadBundle(bundle.job.id)).toEqual({ ...bundle, unreadable: [] });
        else expect((await record.loadFirings(bundle.job.id)).firings).toEqual([]);
      }
    }),
    { seed: 41, numRuns: 120 },
  );
  expect(taken).toBeGreaterThan(15);
  expect(refused).toBeGreaterThan(15);
});
