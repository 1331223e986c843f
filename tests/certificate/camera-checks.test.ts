import { describe, expect, it } from 'vitest';
import type { CertificateTable, CertifiedFiring } from '../../app/certificate/certificate.ts';
import { certificateContent } from '../../app/certificate/content.ts';
import type { ContactLeadResult, SyncSetting } from '../../app/judge/camera-checks.ts';
import type { ContactFigures } from '../../app/measure/figures.ts';
import type { Job } from '../../app/record/job.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';
import { section } from './content-parts.ts';
import { inventedFigures, inventedFiring, inventedInput } from './invented-job.ts';
import { wholeInput, wholeJob } from './whole-job.ts';

const table = (tables: readonly CertificateTable[], heading: string) =>
  tables.find((one) => one.heading === heading);
const whole = certificateContent(wholeInput());

describe('the flash contact on a certificate', () => {
  it('has a line for each mark with margin, breaks and verdict', () => {
    const { rows, notes } = table(whole.tables, 'Flash contact at X, as left')!;
    expect(rows.map(([mark]) => mark)).toEqual(
      whole.rows.flatMap(({ mark, reference }) => (reference === '–' ? [] : [mark])),
    );
    // By the invented contact: from closure at 2.1 ms over 1 ms of flash to 0.5 ms after the effective time,
    // that is the time less 2.6 ms: 14.67 ms for the mean of 17.27 ms.
    const [mark, n, closed, open, margin, , , breaks, , verdict] = rows.find(([one]) => one === '1/60')!;
    expect([mark, n, closed, open, margin, breaks, verdict]).toEqual([
      '1/60',
      '5',
      '5',
      '92 %',
      '+14.7',
      '1',
      'in time',
    ]);
    expect(rows.at(-1)!.at(-1)).toBe('too late');
    expect(notes.join(' ')).toMatch(/negative is too late.*flash of 1\.00 ms.*dirty contact may look good/);
    expect(notes.join(' ')).not.toContain('X is assumed');
  });

  const contact = (closed: number | null): ContactFigures => ({
    closed: closed === null ? null : seconds(closed),
    closedBefore: false,
    bounces: 0,
    bounceTime: seconds(0),
    parted: null,
    closedTime: seconds(0.01),
    lost: 0,
    openAtClosure: 0.1,
    open80: seconds(0.03),
    open90: seconds(0.031),
    closing90: seconds(0.045),
  });
  const fired = (sync: SyncSetting, contacts: readonly (ContactFigures | null)[]): CertifiedFiring[] =>
    contacts.map((one, i) =>
      inventedFiring('as left', '1/60', i + 1, inventedFigures(1 / 60, { contact: one }), { sync }),
    );
  const lead = (state: ContactLeadResult['state']): Partial<Job> => ({
    checks: [
      {
        kind: 'contact lead',
        at: '2031-03-05T16:00:00+01:00',
        stage: 'as left',
        result: { state, closures: 2, bounces: 0, seconds: 9 },
      },
    ],
  });
  const content = (firings: readonly CertifiedFiring[], changes: Partial<Job> = {}) =>
    certificateContent(inventedInput({ firings, job: { ...inventedInput().job, ...changes } }));
  const summary = (firings: readonly CertifiedFiring[], changes: Partial<Job> = {}) =>
    content(firings, changes).front.find(({ heading }) => heading === 'Further checks')?.items;

  it('is told of M by its lead, in a table of its own', () => {
    const { tables } = content(fired('M', [contact(0.014), contact(0.015), contact(0.016)]));
    expect(table(tables, 'Flash contact at X, as left')).toBeUndefined();
    const { rows, notes } = table(tables, 'Flash contact at M, as left')!;
    expect(rows[0]!.slice(4, 7)).toEqual(['+15.0', '1.00', expect.stringMatching(/^\+1[46]\.0$/)]);
    expect(rows[0]!.at(-1)).toBe('in time');
    expect(notes[0]).toContain('13 to 19 ms');
  });

  it('that never closed is a result only where the lead is known to work', () => {
    const none = [null, null, null];
    expect(summary(fired('X', none), lead('works'))).toEqual([
      'Flash contact at X, for a flash of 1.00 ms: never closed at 1/60.',
    ]);
    expect(summary(fired('X', none), lead('never closed'))).toBeUndefined();
    // At another stage the contact closed through the same lead.
    const before = inventedFiring(
      'as found',
      '1/60',
      9,
      inventedFigures(1 / 60, { contact: contact(0.032) }),
      {
        sync: 'X',
      },
    );
    expect(summary([before, ...fired('X', none)])).toEqual([
      'Flash contact at X, for a flash of 1.00 ms: never closed at 1/60.',
    ]);
    expect(summary(fired('X', none))).toBeUndefined();
    // Who has said nothing of a flash is told nothing, and that it was not tested.
    const silent = content(fired('not stated', none), lead('works'));
    expect(silent.front.find(({ heading }) => heading === 'Further checks')).toBeUndefined();
    expect(silent.front.find(({ heading }) => heading === 'What was not tested')!.paragraphs[0]).toContain(
      'Timing of the flash contact',
    );
  });

  it('says so where X had to be assumed', () => {
    const { tables } = content(fired('not stated', [contact(0.032), contact(0.032)]));
    expect(table(tables, 'Flash contact at X, as left')!.notes.join(' ')).toContain('X is assumed');
  });

  it('has the test of its lead among the checks of the instrument', () => {
    expect(section(whole, 'Checks of the instrument').items).toContain(
      'As left, contact lead, 2031-03-05 16:00: works; 3 closures and 1 bounce in 12 s, worked by hand.',
    );
  });
});

describe('the self-timer on a certificate', () => {
  const timer = (job: Partial<Job>) =>
    certificateContent(wholeInput({ job: wholeJob(job) })).sections.find(
      ({ heading }) => heading === 'Self-timer',
    )?.paragraphs[0];

  it('gives its runs, those set aside too, and what they suggest', () => {
    expect(timer({})).toMatch(
      /^The self-timer ran 10\.45 s .* From release to first light\. Runs: 9\.81 s, 9\.92 s, 11\.62 s\. Set aside: 3\.20 s \(stopped by hand\)\. .*it hesitates/,
    );
    expect(timer({ selfTimer: [] })).toBeUndefined();
    const one = wholeJob()
      .selfTimer.slice(0, 1)
      .map((run) => ({ ...run, startedBy: 'key' as const }));
    expect(timer({ selfTimer: one })).toMatch(
      /^The self-timer ran 9\.8 s\. From release to first light\. The release was told by a key/,
    );
  });
});

describe('the exposure meter on a certificate', () => {
  it('has a line for each point, in the notation of the camera', () => {
    const { rows, notes, columns } = table(whole.tables, 'Exposure meter')!;
    expect(columns[0]!.head).toBe('Light, cd/m²');
    // log2(8 · 100 / 12.5) = 6; f/5.6 is taken as 4 · √2 and 1/4 s gives 5 + 2 = 7.
    expect(rows[0]).toEqual(['8', '6.00', 'f/5.6, 1/4 s', '7.00', '+1.00', '–']);
    expect(rows[2]![5]).toBe('needle sticks at first');
    const said = notes.join(' ');
    expect(said).toMatch(/ISO 100, K = 12\.5 \(ISO 2720\)\. Cell: selenium\./);
    expect(said).toMatch(/Light: opal lamp panel .* known to ±0\.20 EV/);
  });

  it('says what is not stated, and takes lux for a meter of falling light', () => {
    const meter = {
      ...wholeJob().meter!,
      constant: { kind: 'C', value: 250 },
      notation: 'EV',
      source: { words: '', uncertainty: null },
      points: [{ id: 'p', light: 81_920, reading: { ev: -1.5 }, note: '' }],
    } as const;
    const { rows, notes, columns } = table(
      certificateContent(wholeInput({ job: wholeJob({ meter }) })).tables,
      'Exposure meter',
    )!;
    expect(columns[0]!.head).toBe('Light, lx');
    expect(rows).toEqual([['81920', '15.00', 'EV −1.5', '−1.50', '−16.50', '–']]);
    expect(notes.join(' ')).toMatch(/source of the light is not stated; its uncertainty is not stated/);
    const empty = certificateContent(wholeInput({ job: wholeJob({ meter: { ...meter, points: [] } }) }));
    expect(table(empty.tables, 'Exposure meter')).toBeUndefined();
  });

  it('keeps the uncertainty of the light with its figures', () => {
    const meter = { ...wholeJob().meter!, source: { words: 'sun', uncertainty: stops(0.7) } };
    const content = certificateContent(wholeInput({ job: wholeJob({ meter }) }));
    expect(content.front.find(({ heading }) => heading === 'Further checks')!.items[2]).toMatch(
      /cannot be said: the light is not known well enough/,
    );
  });
});

describe('mechanical checks on a certificate', () => {
  it('are listed with state and note, those not made elsewhere', () => {
    expect(table(whole.tables, 'Mechanical checks')!.rows).toEqual([
      ['Release blocked when not cocked', 'good', '–'],
      ['Double-exposure prevention', 'good', '–'],
      ['Focus', 'adjusted', 'infinity set on a collimator (invented)'],
      ['Light seals', 'fault', 'crumbling at the hinge'],
      ['Rangefinder and viewfinder', 'not fitted', '–'],
    ]);
    const mechanics = wholeJob().mechanics.map((check) => ({ ...check, state: 'not tested' as const }));
    const none = certificateContent(wholeInput({ job: wholeJob({ mechanics }) }));
    expect(table(none.tables, 'Mechanical checks')).toBeUndefined();
  });
});
