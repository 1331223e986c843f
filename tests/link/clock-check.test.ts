import { describe, expect, it } from 'vitest';
import { ClockCheck } from '../../app/link/clock-check.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { JITTERS, type JitterName, recovery, StreamingBoard, TICK_HZ } from './late-arrivals.ts';

const PPM = 4321;
const jitters = Object.keys(JITTERS) as JitterName[];

/** Milliseconds of arrival for each second by the board's nominal clock, without jitter. */
function exact(ppm: number, seconds: number, step: number): ClockCheck {
  const check = new ClockCheck({ tickHz: TICK_HZ });
  for (let at = 0; at <= seconds; at += step)
    check.add(ticks(Math.round(at * TICK_HZ)), 77 + (1000 * at) / (1 + ppm * 1e-6));
  return check;
}

describe('the clock check recovers a known error in a minute', () => {
  it.each(jitters)('within its expanded uncertainty in 90 of 100 runs: %s', (jitter) => {
    const { within, medianUncertainty, rms, largestUncertainty } = recovery(jitter, PPM, 100);
    expect(within).toBeGreaterThanOrEqual(90);
    // Nor does it hide behind its uncertainty: that is a few ppm, and no more than a few times the error.
    expect(medianUncertainty).toBeLessThan(3);
    expect(medianUncertainty).toBeLessThan(4 * rms);
    expect(largestUncertainty).toBeLessThan(20);
  });

  // 26 µs samples and bursts of 16 ms come into the ratio 24 : 5 at -1600 ppm: the latenesses that occur are
  // then 0.67 ms apart, and hide a slope for a minute on end.
  it.each([-5000, -1603, -1590, -35, 0, 3, 250])(
    'also where bursts and messages run nearly in step: %i ppm',
    (ppm) => {
      const { runs, within, largestUncertainty } = recovery('bursts of 16 ms', ppm, 20);
      expect(within).toBeGreaterThanOrEqual(0.9 * runs);
      expect(largestUncertainty).toBeLessThan(30);
    },
  );

  it('ever more closely, at constant memory', () => {
    const uncertainties = [25, 60, 240, 1200].map((seconds) => {
      const { check } = new StreamingBoard(3, 'exponential').stream(seconds, PPM);
      expect(check.points().seconds.length).toBeLessThanOrEqual(64);
      expect(Math.abs(check.estimate()!.ppm - PPM)).toBeLessThan(3 * check.estimate()!.uncertainty);
      return check.estimate()!.uncertainty;
    });
    expect(uncertainties[1]).toBeLessThan(uncertainties[0]!);
    expect(uncertainties[2]).toBeLessThan(uncertainties[1]! / 3);
    // From here on it follows the clock instead: four minutes back.
    expect(uncertainties[3]).toBeLessThan(0.2);
  });
});

describe('the estimate', () => {
  it.each([4321, -4321, 0, 12_000])('is exact to the definition, f = nominal (1 + ppm 1e-6): %i', (ppm) => {
    expect(exact(ppm, 30, 0.01).estimate()!.ppm).toBeCloseTo(ppm, 5);
  });

  it('comes after 20 s and tells how long it watched', () => {
    expect(exact(PPM, 19, 0.01).estimate()).toBeNull();
    expect(exact(PPM, 22, 0.01).estimate()!.observedSeconds).toBeGreaterThan(21);
  });

  it('comes from four messages a second as well', () => {
    expect(exact(PPM, 60, 0.25).estimate()!.ppm).toBeCloseTo(PPM, 5);
  });

  it('is not touched by what is held up, however long', () => {
    const board = new StreamingBoard(5, 'exponential').stream(20, PPM);
    for (let i = 0; i < 5; i++) board.stream(5, PPM, 40).stream(3, PPM);
    const { ppm, uncertainty } = board.check.estimate()!;
    expect(Math.abs(ppm - PPM)).toBeLessThan(2 * uncertainty);
    expect(uncertainty).toBeLessThan(5);
  });

  it('owns up to a rate that drifts: the last rate lies within its expanded uncertainty', () => {
    const board = new StreamingBoard(6, 'exponential');
    const last = 50;
    for (let ppm = 0; ppm <= last; ppm++) board.stream(4, ppm); // 15 ppm a minute
    const { ppm, uncertainty, observedSeconds } = board.check.estimate()!;
    expect(observedSeconds).toBeGreaterThan(150); // and it did not start anew
    expect(Math.abs(ppm - last)).toBeLessThan(2 * uncertainty);
    expect(uncertainty).toBeLessThan(last / 2);
  });

  it.each([-900_000, 60_000])('is none for clocks that no line could join: %i ppm', (ppm) => {
    expect(exact(ppm, 60, 0.01).estimate()).toBeNull();
  });

  it('is none when everything came at once, as from a file of raw bytes', () => {
    const check = new ClockCheck({ tickHz: TICK_HZ });
    for (let i = 0; i < 20_000; i++) check.add(ticks(i * 6656), 0);
    expect(check.estimate()).toBeNull();
  });
});

describe('the clock check starts anew', () => {
  const settled = (seed: number) => new StreamingBoard(seed, 'exponential').stream(60, PPM);
  const closeTo = (board: StreamingBoard) => {
    const { ppm, uncertainty, observedSeconds } = board.check.estimate()!;
    expect(Math.abs(ppm - PPM)).toBeLessThan(3 * uncertainty);
    return observedSeconds;
  };

  it('at once when arrivals are early: the computer slept and its clock stood still', () => {
    const board = settled(11).sleep(0.05).stream(1, PPM);
    expect(board.check.estimate()).toBeNull();
    expect(closeTo(board.stream(30, PPM))).toBeLessThan(32);
  });

  it('after ten seconds of steady lateness: an emulated board gave up time', () => {
    const board = settled(12).giveUp(0.25).stream(9, PPM);
    expect(closeTo(board)).toBeGreaterThan(60); // may still be a page that is busy
    board.stream(2, PPM);
    expect(board.check.estimate()).toBeNull();
    expect(closeTo(board.stream(30, PPM))).toBeLessThan(32);
  });

  it('when ticks run backwards', () => {
    const board = settled(13);
    board.check.add(ticks(0), 1e7);
    expect(board.check.estimate()).toBeNull();
    expect(board.check.points().seconds).toEqual([0]);
  });

  it('when told to', () => {
    const { check } = settled(14);
    check.restart();
    expect(check.estimate()).toBeNull();
    expect(check.points()).toEqual({ seconds: [], lateness: [], line: null });
  });

  it('but not after a stall that is caught up, nor after a pause of both', () => {
    const board = settled(15).stream(5, PPM, 800).stream(5, PPM);
    expect(closeTo(board)).toBeGreaterThan(65);
    expect(
      closeTo(
        board
          .sleep(30)
          .giveUp(30 / (1 + PPM * 1e-6))
          .stream(5, PPM),
      ),
    ).toBeGreaterThan(95);
  });
});

describe('the points for a plot', () => {
  it('lie along the line, in the order of time', () => {
    const { seconds, lateness, line } = new StreamingBoard(21, 'bursts of 16 ms')
      .stream(60, PPM)
      .check.points();
    expect(seconds.length).toBeGreaterThan(30);
    expect(seconds).toEqual(seconds.toSorted((a, b) => a - b));
    expect(seconds.at(-1)! - seconds[0]!).toBeGreaterThan(58);
    // A fast board counts more time than the computer: arrivals come ever earlier by its nominal clock.
    const slope = (lateness.at(-1)! - lateness[0]!) / (seconds.at(-1)! - seconds[0]!);
    expect(slope).toBeCloseTo(1e3 / (1 + PPM * 1e-6) - 1e3, 1);
    for (const [i, y] of lateness.entries()) expect(Math.abs(y - line![i]!)).toBeLessThan(1);
  });
});
