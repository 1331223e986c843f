import { describe, expect, it } from 'vitest';
import { LEAF_SERIES, seriesFromLabels, timeOfLabel } from '../../app/judge/series.ts';
import { statisticsOf } from '../../app/judge/speed-statistics.ts';
import { stoppedDownCorrections } from '../../app/judge/stopped-down-correction.ts';
import { type WorkingMark, whatToSet, workingSpeeds } from '../../app/judge/working-speeds.ts';
import { type Seconds, seconds, stops } from '../../firmware-protocol/units.ts';
import { reading } from './sample-readings.ts';

function mark(label: string, errors: readonly number[], more: Partial<WorkingMark> = {}): WorkingMark {
  const reference = timeOfLabel(label);
  return {
    speed: { label },
    reference,
    statistics: statisticsOf(
      errors.map((error) => reading((reference ?? 1) * 2 ** error)),
      reference,
    ),
    budget: { expanded: stops(0.05) },
    outcome: null,
    judgement: { spread: 'no limit' },
    least: 3,
    ...more,
  };
}

const three = (error: number) => [error - 0.01, error, error + 0.01];

describe('what each mark really gives', () => {
  it('is the mean of its firings, and its error to the nearest third', () => {
    const [speed] = workingSpeeds([mark('1/250', three(0.4))]);
    expect(speed).toMatchObject({ label: '1/250', n: 3, thirds: 1, unusable: null, tooFew: false });
    expect(speed!.error).toBeCloseTo(0.4, 12);
    expect(speed!.time).toBeCloseTo(2 ** 0.4 / 250, 12);
    expect(speed!.wanted).toBe(1 / 250);
  });

  it('leaves out B and T, and keeps the order', () => {
    const marks = LEAF_SERIES.speeds.map(({ label }) => mark(label, three(0)));
    expect(workingSpeeds(marks).map(({ label }) => label)).toEqual(
      LEAF_SERIES.speeds.slice(1).map(({ label }) => label),
    );
  });

  it.each([
    ['did not fire', mark('1/60', three(0), { outcome: 'did not fire' })],
    ['stuck open', mark('1/60', [], { outcome: 'stuck open' })],
    ['not tried', mark('1/60', [], { outcome: 'not tried' })],
    ['no reading', mark('1/60', [])],
    ['erratic', mark('1/60', three(0), { judgement: { spread: 'erratic' } })],
    [null, mark('1/60', three(0), { outcome: 'not tried' })],
    [null, mark('1/60', three(0), { judgement: { spread: 'too few' } })],
  ] as const)('%s', (cause, made) => {
    expect(workingSpeeds([made])[0]!.unusable).toBe(cause);
  });

  it('flags too few firings and a third that is not certain', () => {
    expect(workingSpeeds([mark('1/60', [0, 0.1])])[0]).toMatchObject({ tooFew: true, unusable: null });
    const vague = mark('1/60', three(0), { budget: { expanded: stops(0.4) } });
    expect(workingSpeeds([vague])[0]!.uncertain).toBe(true);
    expect(workingSpeeds([mark('1/60', [0], { budget: null })])[0]!.uncertain).toBe(false);
  });
});

describe('what to set for a wanted time', () => {
  const set = (...marks: WorkingMark[]) =>
    whatToSet(workingSpeeds(marks)).map(({ label, set, thirds }) => [label, set, thirds]);

  it('the mark itself, and by how many thirds to close or open the iris', () => {
    expect(set(mark('1/60', three(0.1)), mark('1/125', three(0.35)), mark('1/250', three(-0.6)))).toEqual([
      ['1/60', '1/60', 0],
      ['1/125', '1/125', 1],
      ['1/250', '1/250', -2],
    ]);
  });

  it('another mark only where it comes nearer by two thirds or more', () => {
    expect(set(mark('1/250', three(-1)), mark('1/500', three(-0.9)))).toEqual([
      ['1/250', '1/250', -3],
      ['1/500', '1/250', 0],
    ]);
    expect(set(mark('1/250', three(0.7)), mark('1/500', three(1)))).toEqual([
      ['1/250', '1/500', 0],
      ['1/500', '1/500', 3],
    ]);
    expect(set(mark('1/250', three(0.35)), mark('1/500', three(1)))[0]).toEqual(['1/250', '1/250', 1]);
    expect(set(mark('1/250', three(0.5)), mark('1/500', three(0.5)))[0]).toEqual(['1/250', '1/250', 1]);
  });

  it('of others equally near the shorter time, which blurs less', () => {
    const gap = [mark('1/125', three(-0.5)), mark('1/250', []), mark('1/500', three(0.5))];
    expect(set(...gap)[1]).toEqual(['1/250', '1/500', -1]);
  });

  it('one with too few firings only where there is none with enough', () => {
    const few = mark('1/500', [1]);
    expect(set(mark('1/250', three(0.7)), few)[0]).toEqual(['1/250', '1/250', 2]);
    const dead = mark('1/250', []);
    expect(set(mark('1/125', three(-0.4)), dead, few)[1]).toEqual(['1/250', '1/125', 2]);
    expect(set(dead, few)[0]).toEqual(['1/250', '1/500', 0]);
  });

  it('never a mark that is not to be used', () => {
    const erratic = mark('1/500', three(0), { judgement: { spread: 'erratic' } });
    expect(set(mark('1/250', three(0.1)), erratic)).toEqual([
      ['1/250', '1/250', 0],
      ['1/500', '1/250', 3],
    ]);
  });

  it('nothing where none comes within one stop and a third', () => {
    expect(set(mark('1/60', three(0)), mark('1/500', []))).toEqual([
      ['1/60', '1/60', 0],
      ['1/500', null, 0],
    ]);
    expect(set(mark('1/60', []))).toEqual([['1/60', null, 0]]);
    expect(set(mark('1/60', three(1.4)))).toEqual([['1/60', '1/60', 4]]);
    expect(set(mark('1/60', three(1.6)))).toEqual([['1/60', null, 0]]);
    expect(set()).toEqual([]);
  });
});

describe('stopped down', () => {
  /** Straight edges of 2 ms: te(k) = te + τ − τ·2^−k (arithmetic on the definition of effective time). */
  const stopped = (te: number) => [1, 2, 3, 4, 5, 6].map((k) => seconds(te + 2e-3 * (1 - 2 ** -k)));
  const curve = (te: number, down: readonly Seconds[] | null = stopped(te)) => {
    const plain = reading(te);
    return { ...plain, figures: { ...plain.figures, stoppedDown: down } };
  };
  const FROM_CENTRE = { fromCentre: true };

  it('is the mean over the counted firings, in stops and thirds', () => {
    const [row] = stoppedDownCorrections(FROM_CENTRE, [
      { label: '1/500', readings: [curve(2e-3), curve(2e-3)] },
    ])!;
    expect(row!.longer[0]).toBeCloseTo(0.585, 3);
    expect(row!.longer[5]).toBeCloseTo(Math.log2(2 - 1 / 64), 12);
    expect(row).toMatchObject({ label: '1/500', n: 2, thirds: [2, 2, 3, 3, 3, 3] });
    const slow = stoppedDownCorrections(FROM_CENTRE, [{ label: '1/60', readings: [curve(1 / 60)] }])!;
    expect(slow[0]!.thirds).toEqual([0, 0, 0, 0, 0, 0]);
  });

  it('leaves out what does not count or has no curve', () => {
    const rows = stoppedDownCorrections(FROM_CENTRE, [
      { label: '1/500', readings: [curve(2e-3), { ...curve(8e-3), setAside: 'slipped' }, curve(9e-3, null)] },
      { label: '1/250', readings: [curve(4e-3, null)] },
      { label: '1/125', readings: [curve(4e-3, [seconds(0)])] },
      { label: 'B', readings: [] },
    ]);
    expect(rows!.map(({ label, n }) => [label, n])).toEqual([['1/500', 1]]);
    expect(rows![0]!.longer[0]).toBeCloseTo(0.585, 3);
  });

  it('is none of a shutter that does not uncover from the centre', () => {
    expect(
      stoppedDownCorrections({ fromCentre: false }, [{ label: '1/500', readings: [curve(2e-3)] }]),
    ).toBeNull();
  });

  it('takes a series as it comes', () => {
    const older = seriesFromLabels('older', 'Older', ['1/100', '1/300']);
    expect(
      stoppedDownCorrections(
        FROM_CENTRE,
        older.speeds.map(({ label, marked }) => ({ label, readings: [curve(marked!)] })),
      )!.map(({ label }) => label),
    ).toEqual(['1/100', '1/300']);
  });
});
