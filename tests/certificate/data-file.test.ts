import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  dataFileName,
  hashStatement,
  isDataFileName,
  readingsData,
  sha256Hex,
  statedHash,
} from '../../app/certificate/data-file.ts';
import { stageResult } from '../../app/certificate/stage-results.ts';
import type { Job } from '../../app/record/job.ts';
import { stops } from '../../firmware-protocol/units.ts';
import { inventedFirings, inventedInput, inventedJob } from './invented-job.ts';

type Json = { [key: string]: Json } & Json[];

const textOf = (bytes: Uint8Array) => new TextDecoder('utf-8', { fatal: true }).decode(bytes);
const read = (input = inventedInput()) => JSON.parse(textOf(readingsData(input))) as Json;

/** Everything a job may hold, with words in it that must go nowhere. */
const fullJob = (): Job => {
  const at = '2031-03-04T10:00:00+01:00';
  return inventedJob({
    customer: { name: 'SECRET name', contact: 'SECRET contact' },
    complaint: 'SECRET complaint',
    steps: [
      {
        id: 'step',
        at,
        afterFiring: 3,
        kind: 'governor',
        direction: 'in',
        amount: { value: 1, unit: 'SECRET' },
        note: 'SECRET',
      },
    ],
    work: { done: 'SECRET', parts: 'SECRET', lubricants: 'SECRET', remarks: 'SECRET' },
    notes: [{ id: 'note', at, text: 'SECRET', picture: 'SECRET', onJobSheet: true }],
    issued: [{ kind: 'job sheet', number: 'SECRET', at, dataSha256: null }],
    selfTimer: [
      { id: 'run-1', at, seconds: 9.5, startedBy: 'key', setAside: null },
      { id: 'run-2', at, seconds: 9.9, startedBy: 'release switch', setAside: null },
    ],
    meter: {
      notation: 'EV',
      iso: 100,
      constant: { kind: 'K', value: 12.5 },
      cell: 'selenium',
      battery: null,
      source: { words: 'opal lamp', uncertainty: stops(0.1) },
      points: [{ id: 'point', light: 4096, reading: { ev: 14.6 }, note: '' }],
    },
    mechanics: [{ id: 'check', name: 'Light seals', state: 'fault', note: 'crumbled' }],
  });
};

describe('data file of a certificate', () => {
  it('has the same bytes for the same input, in whatever order firings and fields come', async () => {
    const input = inventedInput();
    const bytes = readingsData(input);
    const reversed = (value: unknown): unknown => {
      if (Array.isArray(value)) return value.map(reversed);
      if (typeof value !== 'object' || value === null) return value;
      return Object.fromEntries(
        Object.entries(value)
          .map(([key, member]) => [key, reversed(member)])
          .reverse(),
      );
    };
    const shuffled = { ...input, job: reversed(input.job) as Job, firings: [...input.firings].reverse() };
    expect(await sha256Hex(readingsData(shuffled))).toBe(await sha256Hex(bytes));
    expect(bytes.byteLength).toBe(bytes.buffer.byteLength);
  });

  it('changes with every figure', async () => {
    const input = inventedInput();
    const [first, ...rest] = input.firings;
    const other = { ...first!, figures: { ...first!.figures, efficiency: 0.8300001 } };
    expect(textOf(readingsData({ ...input, firings: [other, ...rest] }))).not.toBe(
      textOf(readingsData(input)),
    );
  });

  it('says what it is, of which certificate, job and camera', () => {
    expect(read()).toMatchObject({
      format: 'leafclock readings',
      version: 1,
      certificate: 'LC-2031-0007',
      issued: '2031-03-06T12:00:00+01:00',
      workshop: 'Musterwerkstatt Blendenstern',
      job: { number: 'J-0042', received: '2031-03-02T09:15:00+01:00' },
      invented: true,
      camera: inventedJob().camera,
      unreadable: 0,
    });
  });

  it('holds nothing of the customer, the complaint, the work or the notes', () => {
    const text = textOf(readingsData(inventedInput({ job: fullJob() })));
    expect(text).not.toContain('SECRET');
    expect(text).toContain('Light seals');
  });

  it('passes on no more of a firing than a certificate needs', () => {
    const input = inventedInput();
    const more = { ...input.firings[0]!, private: 'SECRET' };
    expect(textOf(readingsData({ ...input, firings: [more] }))).not.toContain('SECRET');
  });

  it('holds every firing of the job, and whether it counts', () => {
    const input = inventedInput();
    const aside = { ...input.firings[0]!, setAside: 'dial moved' };
    const stranger = { ...input.firings[1]!, id: 'stranger', jobId: 'other' };
    const { firings } = read({ ...input, firings: [aside, ...input.firings.slice(1), stranger] });
    expect(firings).toHaveLength(input.firings.length);
    expect(firings![0]).toMatchObject({
      ordinal: 1,
      counted: false,
      notCounted: 'set aside',
      setAside: 'dial moved',
    });
    expect(firings![1]).toMatchObject({ ordinal: 2, counted: true, notCounted: null, setAside: null });
    expect(firings!.map(({ ordinal }) => Number(ordinal))).toEqual(
      input.firings.map(({ ordinal }) => ordinal),
    );
  });

  it('holds the results that the certificate prints, to the last digit', () => {
    const job = inventedJob();
    const firings = inventedFirings(job.series);
    const { stages } = read();
    expect(stages!.map(({ stage }) => stage)).toEqual(['as found', 'as left']);
    for (const { stage, results } of stages!) {
      const { marks } = stageResult(job, firings, stage as unknown as 'as found');
      marks.forEach(({ speed, statistics, budget, judgement }, index) => {
        expect(results![index]).toMatchObject({
          mark: speed.label,
          n: statistics.n,
          meanError: statistics.meanError,
          sd: statistics.sd,
          expandedUncertainty: budget?.expanded ?? null,
          coverageFactor: budget?.k ?? null,
          verdict: judgement.verdict,
        });
      });
    }
  });

  it('lets the mean error be worked out from its firings', () => {
    const { firings, stages } = read();
    for (const { stage, results } of stages!) {
      for (const { mark, n, meanError } of results!) {
        const own = firings!.filter((one) => one.stage === stage && one.mark === mark && one.counted);
        expect(own).toHaveLength(Number(n));
        if (own.length === 0) continue;
        const mean = own.reduce((sum, { error }) => sum + Number(error), 0) / own.length;
        expect(Number(meanError)).toBeCloseTo(mean, 12);
      }
    }
  });

  it('holds self-timer, meter and mechanical checks with what they come to', () => {
    const data = read(inventedInput({ job: fullJob() }));
    expect(data.selfTimer).toMatchObject({
      runs: [{ seconds: 9.5 }, { seconds: 9.9 }],
      result: { n: 2, byKey: 1 },
    });
    // L = 4096 cd/m² at ISO 100 and K = 12.5: EV = log2(4096 · 100 / 12.5) = 15.
    expect(data.meter!.points![0]).toMatchObject({ expected: 15, read: 14.6, light: 4096 });
    expect(Number(data.meter!.points![0]!.error)).toBeCloseTo(-0.4, 12);
    expect(data.mechanics).toEqual([{ name: 'Light seals', state: 'fault', note: 'crumbled' }]);
    expect(read().meter).toBeNull();
  });

  it('has a certificate for a job without a firing', () => {
    const data = read(inventedInput({ firings: [] }));
    expect(data.firings).toEqual([]);
  });

  it('replaces broken surrogate pairs, which no UTF-8 can hold', () => {
    const camera = { ...inventedJob().camera, description: 'a\ud800b' };
    expect(read(inventedInput({ job: inventedJob({ camera }) })).camera!.description).toBe('a\ufffdb');
  });

  it('has every one of its fields described', () => {
    const description = readFileSync(new URL('../../app/certificate/data-file.md', import.meta.url), 'utf8');
    const described = new Set([...description.matchAll(/`([A-Za-z]+)`/g)].map(([, name]) => name));
    const data = read(inventedInput({ job: fullJob() }));
    const fields = [data, data.firings![0]!, data.stages![0]!, data.stages![0]!.results![0]!, data.rule!];
    const missing = fields.flatMap((field) => Object.keys(field)).filter((name) => !described.has(name));
    expect(missing).toEqual([]);
  });
});

describe('names and sums', () => {
  it('name the file after the certificate', () => {
    expect(dataFileName('0042-20310306-120000')).toBe('readings-0042-20310306-120000.json');
    expect(dataFileName(' J/7 Ω:8 ')).toBe('readings-J-7-Ω-8.json');
    expect(isDataFileName(dataFileName('x\ny'))).toBe(true);
    expect(isDataFileName('readings.json')).toBe(false);
  });

  it('state a sum so that it can be read again', async () => {
    const sum = await sha256Hex(readingsData(inventedInput()));
    expect(statedHash(hashStatement(sum))).toBe(sum);
    expect(statedHash(`before. ${hashStatement(sum)}, after`)).toBe(sum);
    expect(statedHash(sum)).toBeNull();
    expect(statedHash(hashStatement(`${sum}0`))).toBeNull();
  });
});
