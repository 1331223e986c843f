/** The command that reads recordings, run as a user runs it, on files good, bad and foreign. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { encodeRecording } from '../../app/link/recording.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { PROTOCOL_VERSION } from '../../firmware-protocol/messages.ts';
import { hello } from '../link/fake-port.ts';
import { exactEffective, exactHalfHeight, openingOf } from '../measure/known-light.ts';
import { seededRandom } from '../seeded-random.ts';
import { EdgesBoard } from './edges-board.ts';
import { EmulatedBench, joined } from './emulated-bench.ts';
import { ReadingChain } from './reading-chain.ts';

const ROOT = path.join(import.meta.dirname, '../..');
const OPENINGS = [15, 60, 250, 500].map((speed) => openingOf(1 / speed, 'straight', 0.002));
const SAVED = '2026-02-03T04:05:06.000Z';

interface Line {
  readonly channel: number;
  readonly startSeconds: number;
  readonly effectiveSeconds: number | null;
  readonly halfHeightSeconds: number | null;
  readonly totalSeconds: number | null;
  readonly efficiency: number | null;
  readonly openLevel: string | null;
  readonly spoilt: string | null;
  readonly remarks: readonly string[];
}

let folder: string;
let files = 0;
/** One series of four firings: from power-on, and the stream alone. */
let fromPowerOn: Uint8Array<ArrayBuffer>;
let streamAlone: Uint8Array<ArrayBuffer>;

beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'leafclock-replay-'));
  const bench = new EmulatedBench({ seed: 41 });
  const random = seededRandom(41);
  for (const opening of OPENINGS) bench.expose(opening, random());
  fromPowerOn = joined(bench.bytes);
  streamAlone = joined(bench.bytes.slice(bench.beforeStart));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(program: string, args: readonly string[]) {
  const { status, stdout, stderr } = spawnSync(program, args, { cwd: ROOT, encoding: 'utf8' });
  const lines = stdout
    .split('\n')
    .filter((line) => line !== '')
    .map((line): Line => JSON.parse(line));
  return { status, lines, stdout, stderr };
}

/** What the command's script does, without the start of npm. */
const replayPath = (file: string) => run(process.execPath, ['--import', 'tsx', 'app/replay.ts', file]);

function saved(bytes: Uint8Array): string {
  const file = path.join(folder, `file-${files++}`);
  writeFileSync(file, bytes);
  return file;
}

const replay = (bytes: Uint8Array) => replayPath(saved(bytes));

/** The series cut into chunks as they might have arrived. */
function recordingOf(bytes: Uint8Array, introduction: typeof hello | null) {
  const chunks = [];
  for (let at = 0; at < bytes.length; at += 1111)
    chunks.push({ at: at / 44, bytes: bytes.subarray(at, at + 1111) });
  return encodeRecording({ header: { saved: SAVED, hello: introduction }, chunks });
}

function expectTrue(line: Line, opening: (typeof OPENINGS)[number]): void {
  const truth = exactEffective(opening);
  expect(Math.abs(line.effectiveSeconds! - truth)).toBeLessThan(5e-6 + 2e-4 * truth);
  expect(Math.abs(line.halfHeightSeconds! - exactHalfHeight(opening))).toBeLessThan(10e-6);
  // First to last light, at a threshold of 4σ, 2 % here, which cuts off 2 % of each edge.
  const total = opening.rise + opening.open + opening.fall;
  expect(Math.abs(line.totalSeconds! - total * (1 - 0.04 * (0.002 / total)))).toBeLessThan(100e-6);
  expect(line.efficiency).toBeCloseTo(line.effectiveSeconds! / line.totalSeconds!, 12);
  expect(line.spoilt).toBeNull();
}

function expectSeries(lines: readonly Line[]): void {
  expect(lines).toHaveLength(OPENINGS.length);
  for (const [n, line] of lines.entries()) {
    expect(line.channel).toBe(0);
    expectTrue(line, OPENINGS[n]!);
  }
  expect(lines.map(({ openLevel }) => openLevel)).toEqual([
    'plateau',
    'plateau and reference',
    'plateau and reference',
    'reference',
  ]);
  expect(lines[3]!.remarks).toContain('reference level used');
}

describe('good files', () => {
  it('a recording of the page, by the command in the README', () => {
    const file = saved(recordingOf(streamAlone, hello));
    const { status, lines, stdout, stderr } = run('npm', ['run', '--silent', 'replay', '--', file]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expectSeries(lines);
    expect(stdout.endsWith('\n')).toBe(true);
    for (const line of lines)
      expect(Object.keys(line)).toEqual(
        expect.arrayContaining([
          'channel',
          'effectiveSeconds',
          'halfHeightSeconds',
          'totalSeconds',
          'efficiency',
          'spoilt',
          'remarks',
        ]),
      );
  });

  it('raw bytes from power-on, with the introduction among them', () => {
    const { status, lines, stderr } = replay(fromPowerOn);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expectSeries(lines);
  });

  it('raw bytes that begin in the middle of a frame, without an introduction: it says what it assumes', () => {
    const { status, lines, stderr } = replay(streamAlone.subarray(1000));
    expect(status).toBe(0);
    expect(stderr).toMatch(/^No introduction .*2 000 000 ticks/);
    expect(stderr).not.toMatch(/damaged/i);
    expectSeries(lines);
  });

  it('a stream of three channels', () => {
    const bench = new EmulatedBench({ seed: 43, mask: 0b111 });
    const opening = openingOf(1 / 15, 'straight', 0.002);
    for (const phase of [0.2, 0.7]) bench.expose(opening, phase, [0, 1, 2], 0.004);
    const { status, lines, stderr } = replay(joined(bench.bytes));
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(lines.map(({ channel }) => channel)).toEqual([0, 1, 2, 0, 1, 2]);
    for (const [n, line] of lines.entries()) {
      // A third of the samples: the noise of a figure grows by √3.
      const truth = exactEffective(opening);
      expect(Math.abs(line.effectiveSeconds! - truth)).toBeLessThan(Math.sqrt(3) * (5e-6 + 2e-4 * truth));
      const behind = line.startSeconds - lines[n - (n % 3)]!.startSeconds;
      expect(Math.abs(behind - 0.004 * (n % 3))).toBeLessThan(150e-6);
    }
  });

  it('a board that times edges: open times by its own clock, and nothing else', () => {
    const board = new EdgesBoard({ tickHz: 250_000 });
    board.receive(encodeCommand({ type: 'channels', tag: 1, mask: 0b10 }));
    board.receive(encodeCommand({ type: 'start', tag: 2 }));
    const greeting = board.takeBytes();
    for (const length of [1000, 2000]) {
      board.expose(1, 100, length);
      board.advance(50_000);
    }
    const openings = board.takeBytes();
    const greeted = new ReadingChain(null);
    greeted.push(greeting);
    for (const file of [joined([greeting, openings]), recordingOf(openings, greeted.hello)]) {
      const { status, lines, stderr } = replay(file);
      expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
      expect(lines).toHaveLength(2);
      for (const [n, line] of lines.entries())
        expect(line).toMatchObject({
          channel: 1,
          effectiveSeconds: null,
          halfHeightSeconds: null,
          totalSeconds: [0.004, 0.008][n],
          efficiency: null,
          spoilt: null,
          remarks: ['open time only'],
        });
    }
  });
});

describe('files that have suffered', () => {
  /** Where the light of a firing is, as a share of the stream: each takes 0.36 s and its own time. */
  const placeOf = (n: number) => {
    const lengths = OPENINGS.map(({ rise, open, fall }) => 0.36 + rise + open + fall);
    const before = lengths.slice(0, n).reduce((sum, length) => sum + length, 0.01);
    const middle = before + 0.225 + OPENINGS[n]!.rise + OPENINGS[n]!.open / 2;
    const all = lengths.reduce((sum, length) => sum + length, 0.01);
    return Math.round((middle / all) * streamAlone.length);
  };

  it('damaged bytes: the firing they hit is spoilt, the others stand', () => {
    const bytes = fromPowerOn.slice();
    const at = fromPowerOn.length - streamAlone.length + placeOf(1);
    bytes[at] = bytes[at]! ^ 0x10;
    const { status, lines, stderr } = replay(bytes);
    expect(status).toBe(0);
    expect(stderr).toMatch(/^Damaged frames: [12]\./);
    expect(lines).toHaveLength(4);
    expect(lines[1]).toMatchObject({
      effectiveSeconds: null,
      halfHeightSeconds: null,
      totalSeconds: null,
      efficiency: null,
      spoilt: 'data damaged',
      remarks: ['spoilt'],
    });
    for (const n of [0, 2, 3]) expectTrue(lines[n]!, OPENINGS[n]!);
  });

  it('bytes that end in the middle of a firing: that one is spoilt', () => {
    const { status, lines } = replay(streamAlone.subarray(0, placeOf(1)));
    expect(status).toBe(0);
    expect(lines).toHaveLength(2);
    expectTrue(lines[0]!, OPENINGS[0]!);
    expect(lines[1]).toMatchObject({ effectiveSeconds: null, spoilt: 'disconnected', remarks: ['spoilt'] });
  });

  it('a reset in the middle of a firing: that one is spoilt, and the rest is read', () => {
    // Between two frames, so that nothing is damaged: the introduction alone tells.
    const reset = streamAlone.indexOf(0, placeOf(1)) + 1;
    const bytes = joined([streamAlone.subarray(0, reset), fromPowerOn]);
    const { status, lines } = replay(bytes);
    expect(status).toBe(0);
    expect(lines).toHaveLength(6);
    expectTrue(lines[0]!, OPENINGS[0]!);
    expect(lines[1]).toMatchObject({
      effectiveSeconds: null,
      spoilt: 'board restarted',
      remarks: ['spoilt'],
    });
    expectSeries(lines.slice(2));
  });

  it('a recording that was cut off: what there is is printed, and the fault is named', () => {
    const whole = recordingOf(streamAlone, hello);
    const { status, lines, stderr } = replay(whole.subarray(0, Math.round(0.6 * whole.length)));
    expect(status).toBe(1);
    expect(stderr).toMatch(/cut off or damaged at byte \d+/);
    expect(lines.length).toBeGreaterThanOrEqual(2);
    for (const n of [0, 1]) expectTrue(lines[n]!, OPENINGS[n]!);
  });
});

describe('files that are none', () => {
  const text = (words: string) => new TextEncoder().encode(words);
  const random = seededRandom(47);
  const noMessage = /There is no message from a Leafclock board in this file/;

  it.each<[string, Uint8Array, RegExp]>([
    ['empty', new Uint8Array(), /The file is empty/],
    ['random bytes', Uint8Array.from({ length: 65_536 }, () => Math.floor(random() * 256)), noMessage],
    ['text', text('Dear customer,\nyour shutter is ready.\n'.repeat(300)), noMessage],
    [
      'the head of a picture',
      Uint8Array.from([
        0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 0x0d, 0x49, 0x48, 0x44, 0x52,
      ]),
      noMessage,
    ],
    [
      'a recording of a later version',
      text('leafclock recording 2\n{}\n'),
      /reads only 'leafclock recording 1'/,
    ],
    ['a recording without its header', text('leafclock recording 1\nnonsense\n'), /header .* can't be read/],
    [
      'a recording with half an introduction',
      text('leafclock recording 1\n{"saved":"","hello":{"type":"hello","kind":"samples"}}\n'),
      /introduction is incomplete/,
    ],
    ['a recording of nothing', encodeRecording({ header: { saved: SAVED, hello }, chunks: [] }), noMessage],
    [
      'another version of the wire',
      encodeMessage({ ...hello, protocol: PROTOCOL_VERSION + 1 }),
      /version 2 of the protocol; this program reads version 1/,
    ],
  ])('%s', (_, bytes, message) => {
    const { status, stdout, stderr } = replay(bytes);
    expect(status).toBe(1);
    expect(stdout).toBe('');
    expect(stderr).toMatch(message);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });

  it('a file that is not there, a folder, and no name at all', () => {
    expect(replayPath(path.join(folder, 'missing'))).toMatchObject({
      status: 1,
      stdout: '',
      stderr: expect.stringMatching(/missing could not be replayed: There is no such file/),
    });
    expect(replayPath(folder)).toMatchObject({ status: 1, stdout: '' });
    expect(run(process.execPath, ['--import', 'tsx', 'app/replay.ts'])).toMatchObject({
      status: 1,
      stdout: '',
      stderr: expect.stringMatching(/Which file\?/),
    });
  });
});
