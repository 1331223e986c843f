/** What happened between as found and as left: trials, readings after a rest, and the work. */
import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { section } from './content-parts.ts';
import { inventedInput } from './invented-job.ts';
import { wholeFirings, wholeInput, wholeJob } from './whole-job.ts';

const whole = certificateContent(wholeInput());
const table = (heading: string) => whole.tables.find((one) => one.heading === heading)!;

describe('trials and readings after a rest', () => {
  it('are told in short, with how the shutter stood and the temperature', () => {
    expect(table('Trials, in short').rows.map(([mark, n]) => [mark, n])).toEqual([
      ['1/15', '3'],
      ['1/60', '3'],
      ['1/250', '3'],
    ]);
    // 16.7 ms · 2^0.21 = 19.3 ms.
    expect(table('Trials, in short').rows[1]!.slice(2, 5)).toEqual(['19.3 ms', '1/52 s', '+0.210']);
    expect(table('Trials, in short').notes.at(-1)).toMatch(/Shutter mounted: bare; .*Temperature: 21 °C\.$/);
    expect(table('After rest, in short').notes.at(-1)).toMatch(/in the body; .*Temperature: 19\.5 °C\.$/);
  });

  it('keep the first firing after each rest apart, shown once', () => {
    const { rows, notes } = table('After rest, in short');
    expect(rows.map(([mark, n, , , error]) => [mark, n, error])).toEqual([
      ['1/15', '3', '+0.040'],
      ['1/60', '3', '+0.040'],
    ]);
    expect(notes).toContain(
      'After rest, 1/15, firing 37: first after a rest of 13.9 h, kept apart from the mean: 85.0 ms, +0.35 EV.',
    );
    const leftOut = section(whole, 'Firings left out or moved');
    expect(leftOut.paragraphs).toEqual(['2 of 94 recorded firings were kept but not counted.']);
    expect(leftOut.items).toEqual([]);
  });

  it('leave as found and as left what they are, and have no place on a paper without them', () => {
    const alone = certificateContent(
      wholeInput({
        firings: wholeFirings().filter(({ stage }) => stage === 'as found' || stage === 'as left'),
      }),
    );
    expect(alone.rows).toEqual(whole.rows);
    expect(alone.tables.map(({ heading }) => heading).join()).not.toMatch(/in short/);
    expect(whole.chart.stages).toEqual(['as found', 'as left']);
  });
});

describe('the steps of work on a certificate', () => {
  const work = table('Work between the readings, and what it did');

  it('are named with their day, and those without a firing between them share a column', () => {
    expect(work.columns.map(({ head }) => head)).toEqual(['Marked', 'Work 1, EV', 'Work 2, EV']);
    expect(work.notes[0]).toMatch(/^Work 1, 2031-03-04: cleaned: blades and governor \(invented\)\. /);
    expect(work.notes[1]).toMatch(
      /^Work 2, 2031-03-04: governor out by 0\.25 turns; lubricated: pivots of the governor \(invented\)\. There was no firing between these two steps/,
    );
  });

  it('come with the change at each mark, in brackets where none is shown, and a warning for unlike states', () => {
    const cell = (mark: string, index: number) => work.rows.find(([label]) => label === mark)![index];
    expect(cell('1/60', 1)).toMatch(/^\(−0\.\d\d ± 0\.\d\d\)$/);
    // From +0.21 EV in the trials to +0.04 EV after the rest: −0.17, with 0.01 EV of scatter.
    expect(cell('1/15', 2)).toBe('−0.17 ± 0.02');
    expect(work.notes[1]).toMatch(/the shutter stood otherwise after this work than before it/);
    expect(work.notes.at(-1)).toContain('In brackets: no change is shown');
  });

  it('give the customer no advice on what to turn further', () => {
    expect(work.notes.join(' ')).not.toMatch(/further (in|out)|adjustment of the governor is suggested/);
  });

  it('stand alone where nothing was fired after them', () => {
    const steps = wholeJob().steps.map((step) => ({ ...step, afterFiring: 500 }));
    const content = certificateContent(wholeInput({ job: wholeJob({ steps }) }));
    const only = content.tables.find(({ heading }) => heading.startsWith('Work between'))!;
    expect(only.rows).toEqual([]);
    expect(only.notes).toEqual([expect.stringMatching(/^Work 1, .*what it did is not known\.$/)]);
    const none = certificateContent(inventedInput()).tables.map(({ heading }) => heading);
    expect(none.join()).not.toContain('Work');
  });

  it('go on in another table where there are more than fit beside each other', () => {
    const [first] = wholeJob().steps;
    const steps = Array.from({ length: 8 }, (_, i) => ({ ...first!, id: `s${i}`, afterFiring: 27 + i }));
    const content = certificateContent(wholeInput({ job: wholeJob({ steps }) }));
    const tables = content.tables.filter(({ heading }) => heading.startsWith('Work between'));
    expect(tables.map(({ columns }) => columns.length - 1)).toEqual([6, 2]);
    expect(tables[1]!.columns[1]!.head).toBe('Work 7, EV');
  });
});
