import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, it } from 'vitest';
import { readJobFile, writeJobFile } from '../../app/record/job-file.ts';
import { jobFileError, linesOf, packed, packedText, richRecord } from './job-file-rig.ts';

/** Header, then twice (job-2 first) job, three firings, picture; workshop, preferences, board; end. */
let lines: string[];
const LINE = {
  header: 0,
  job: 1,
  firing: 2,
  edges: 4,
  picture: 5,
  second: 6,
  workshop: 11,
  board: 13,
  end: 14,
};

beforeAll(async () => {
  lines = await linesOf((await writeJobFile(await richRecord(), 'everything')).file);
});

type Json = Record<string, unknown>;

/** The file with one of its lines changed. */
function changed(at: number, change: (line: Json) => unknown): Blob {
  const line = change(JSON.parse(lines[at]!) as Json);
  return packed(lines.with(at, typeof line === 'string' ? line : JSON.stringify(line)));
}

const changedRecord = (at: number, change: Json): Blob =>
  changed(at, (line) => ({ ...line, record: { ...(line.record as Json), ...change } }));

const changedData = (at: number, change: Json): Blob =>
  changed(at, (line) => {
    const record = line.record as Json;
    return { ...line, record: { ...record, data: { ...(record.data as Json), ...change } } };
  });

const reason = async (file: Blob) => {
  const { kind, message } = await jobFileError(readJobFile(file));
  expect(message).toMatch(/^[A-Z].*\.$/s);
  return `${kind}: ${message}`;
};

describe('files that are refused', () => {
  it('the file that is changed here is itself whole', async () => {
    expect(lines).toHaveLength(LINE.end + 1);
    expect((await readJobFile(packed(lines))).counts.jobs).toBe(2);
  });

  it('foreign files', async () => {
    expect(await reason(new Blob([]))).toBe('foreign: The file is empty.');
    expect(await reason(new Blob(['%PDF-1.7\n']))).toContain(
      'foreign: This is no file of Leafclock jobs, but a PDF',
    );
    expect(await reason(new Blob(['leafclock recording 1\n{}']))).toContain('a recording');
    expect(await reason(new Blob([new Uint8Array(500)]))).toContain('foreign');
    expect(await reason(new Blob([lines.join('\n')]))).toContain('foreign');
    expect(await reason(packedText('name;price\nlens;12\n'))).toContain('foreign');
    expect(await reason(packedText('{"format":"other","version":1}\n'))).toContain('foreign');
    expect(await reason(packedText(new Uint8Array(100).fill(10)))).toContain('foreign');
    expect(await reason(packedText(''))).toBe('damaged: The file is empty.');
  });

  it('newer files, by the name of what wrote them', async () => {
    const form = await reason(
      changed(LINE.header, (line) => ({ ...line, version: 2, source: 'leafclock 7' })),
    );
    expect(form).toMatch(/^newer: .*“leafclock 7” in version 2/);
    const record = await reason(changedRecord(LINE.second, { version: 99, source: 'leafclock 8' }));
    expect(record).toMatch(/^newer: This file holds a job written by “leafclock 8” as version 99/);
  });

  it('a header that is not as it should be', async () => {
    expect(await reason(changed(LINE.header, (line) => ({ ...line, contents: 'half' })))).toContain('line 1');
    expect(await reason(changed(LINE.header, (line) => ({ ...line, written: 'yesterday' })))).toContain(
      'damaged',
    );
    expect(await reason(changed(LINE.header, (line) => ({ ...line, more: 1 })))).toContain('damaged');
  });

  it('files cut off anywhere', async () => {
    const whole = new Uint8Array(await packed(lines).arrayBuffer());
    for (const length of [3, 12, 100, whole.length >> 1, whole.length - 9, whole.length - 1]) {
      expect(await reason(new Blob([whole.slice(0, length)]))).toMatch(/^(damaged|foreign)/);
    }
  });

  it('files that lack lines, at whichever', async () => {
    for (const end of lines.keys()) {
      if (end > 0) expect(await reason(packed(lines.slice(0, end)))).toMatch(/cut off: .* after line/);
    }
    for (const at of lines.keys()) {
      if (at > 0) expect(await reason(packed(lines.toSpliced(at, 1)))).toContain('damaged');
    }
  });

  it('a last line without its line feed, as of a file that was cut off', async () => {
    expect(await reason(packedText(lines.join('\n')))).toContain('breaks off within a line');
  });

  it('lines that come twice or in another order', async () => {
    for (const at of lines.keys()) {
      if (at > 0) expect(await reason(packed(lines.toSpliced(at, 0, lines[at]!)))).toContain('damaged');
    }
    const swapped = lines.with(LINE.firing, lines[LINE.picture]!).with(LINE.picture, lines[LINE.firing]!);
    expect(await reason(packed(swapped))).toContain('0 firings where there should be 3');
    const settingsFirst = [
      lines[0]!,
      ...lines.slice(LINE.workshop, LINE.end),
      ...lines.slice(1, LINE.workshop),
    ];
    expect(await reason(packed([...settingsFirst, lines[LINE.end]!]))).toContain('after the settings');
    expect(await reason(packed([...lines, lines[LINE.job]!]))).toContain('goes on after its last line');
    expect(await reason(packed([...lines, '']))).toContain('damaged');
  });

  it('counts that are wrong', async () => {
    for (const key of ['jobs', 'firings', 'samples', 'pictures', 'settings']) {
      const file = changed(LINE.end, (line) => ({
        ...line,
        counts: { ...(line.counts as Json), [key]: 77 },
      }));
      expect(await reason(file)).toMatch(new RegExp(`line 15: it says that it holds ${key}: 77`));
    }
    expect(await reason(changed(LINE.job, (line) => ({ ...line, firings: 2 })))).toContain('damaged');
    expect(await reason(changed(LINE.job, (line) => ({ ...line, pictures: 0 })))).toContain('damaged');
    expect(await reason(changed(LINE.job, ({ firings: _, ...line }) => line))).toContain('not counted');
    expect(await reason(changed(LINE.firing, (line) => ({ ...line, firings: 0 })))).toContain('not counted');
  });

  it('ids that come twice', async () => {
    const twice = (at: number, id: string) => reason(changedData(at, { id }));
    expect(await twice(LINE.second, 'job-2')).toContain('a second job with the id “job-2”');
    expect(await twice(LINE.firing + 1, 'job-2-firing-1')).toContain('a second firing');
    expect(await twice(LINE.second + 4, 'job-2-picture')).toContain('a second picture');
    const workshop = lines[LINE.workshop]!;
    expect(await reason(packed(lines.toSpliced(LINE.workshop, 0, workshop)))).toContain('a second workshop');
  });

  it('firings and pictures of no job, or of another one', async () => {
    expect(await reason(changedData(LINE.firing, { jobId: 'job-1' }))).toContain('belongs to another job');
    expect(await reason(changedData(LINE.picture, { jobId: 'job-9' }))).toContain('belongs to another job');
    expect(await reason(packed(lines.toSpliced(1, 1)))).toContain('this firing belongs to no job');
    expect(await reason(changedData(LINE.firing, { mark: '1/90' }))).toContain('no mark “1/90”');
  });

  it('samples that are too few, too many, or no base64', async () => {
    const bytes = (text: unknown) => reason(changed(LINE.firing, (line) => ({ ...line, bytes: text })));
    expect(await bytes('AAAA')).toContain('3 samples where there should be 40');
    expect(await bytes('')).toContain('0 samples where there should be 40');
    expect(await bytes('AA*A')).toContain('no base64');
    expect(await bytes('AAA')).toContain('no base64');
    expect(await bytes('AAB=')).toContain('no base64');
    expect(await bytes('AA=A')).toContain('no base64');
    expect(await bytes(17)).toContain('damaged');
    expect(await reason(changed(LINE.board, (line) => ({ ...line, bytes: 'AAAA' })))).toContain(
      'belong to nothing',
    );
  });

  it('records that are not valid, by the place in them', async () => {
    expect(await reason(changedData(LINE.firing, { rest: 'long' }))).toMatch(/line 3: .*at rest/);
    expect(await reason(changedData(LINE.job, { extra: 1 }))).toMatch(/line 2: .*extra/);
    expect(await reason(changedRecord(LINE.job, { extra: 1 }))).toContain('more than it should');
    expect(await reason(changedRecord(LINE.job, { version: 0 }))).toContain('damaged');
    expect(await reason(changedRecord(LINE.job, { type: 'leafclock firing' }))).toContain('damaged');
    expect(await reason(changed(LINE.picture, ({ bytes: _, ...line }) => line))).toContain('damaged');
    expect(await reason(changed(LINE.job, () => '{"kind":"job"}'))).toContain('damaged');
    expect(await reason(changed(LINE.job, () => 'null'))).toContain('damaged');
    expect(await reason(changed(LINE.job, () => '[1'))).toContain('damaged');
    expect(await reason(changed(LINE.job, (line) => ({ ...line, kind: 'open job' })))).toContain('damaged');
  });

  it('settings in a file of jobs only', async () => {
    const jobsOnly = changed(LINE.header, (line) => ({ ...line, contents: 'jobs' }));
    expect(await reason(jobsOnly)).toContain('settings stand in a file of jobs only');
  });

  it('bytes that are no UTF-8', async () => {
    const bytes = new TextEncoder().encode(`${lines.join('\n')}\n`);
    bytes[bytes.length >> 1] = 0xff;
    expect(await reason(packedText(bytes))).toContain('no text');
  });

  it('a small file that blows up to a line without end', async () => {
    const head = gzipSync(`${lines[0]}\n`);
    const bomb = Buffer.concat([head, gzipSync(Buffer.alloc(80 << 20, 0x20))]);
    expect(bomb.length).toBeLessThan(200_000);
    expect(await reason(new Blob([new Uint8Array(bomb)]))).toMatch(/^too large: .*64 MB/);
  });

  it('a small file that blows up to lines without number', async () => {
    const bomb = packedText(`${lines[0]}\n${'{}\n'.repeat(1_000_000)}`);
    expect(await reason(bomb)).toContain('damaged at line 2');
  });

  it('nesting without end', async () => {
    const nested = `${'['.repeat(500_000)}${']'.repeat(500_000)}`;
    expect(await reason(packed([lines[0]!, nested]))).toContain('damaged');
    const inside = lines[LINE.job]!.replace('"complaint":""', `"complaint":${nested}`);
    expect(inside).not.toBe(lines[LINE.job]);
    expect(await reason(packed(lines.with(LINE.job, inside)))).toContain('damaged');
  });

  it('a file that can’t be read any more', async () => {
    const error = Object.assign(new Error('gone'), { name: 'NotReadableError' });
    class MovedFile extends Blob {
      override stream() {
        return new ReadableStream<Uint8Array<ArrayBuffer>>({ pull: (controller) => controller.error(error) });
      }
    }
    const moved = new MovedFile([packed(lines)]);
    expect(await reason(moved)).toMatch(/^unreadable: .*choose it again/);
  });
});
