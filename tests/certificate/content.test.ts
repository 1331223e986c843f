import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { LEAF_SERIES } from '../../app/judge/series.ts';
import { instrumentWords, row, section } from './content-parts.ts';
import {
  inventedFigures,
  inventedFiring,
  inventedFirings,
  inventedInput,
  inventedJob,
} from './invented-job.ts';

describe('the content of a certificate', () => {
  it('is frozen to its depth and the same for the same input', () => {
    const content = certificateContent(inventedInput());
    const unfrozen: unknown[] = [];
    const look = (value: unknown): void => {
      if (typeof value !== 'object' || value === null) return;
      if (!Object.isFrozen(value)) unfrozen.push(value);
      Object.values(value).forEach(look);
    };
    look(content);
    expect(unfrozen).toEqual([]);
    expect(certificateContent(inventedInput())).toEqual(content);
  });

  it('computes mean, error and spread of a mark from its firings', () => {
    // By hand: 8, 8 and 9 ms against 1/125 s. log2: 0, 0, 0.169925; mean 0.056642; SD 0.098106. Combined
    // with linearity (0.0042) and geometry (0.0088) 0.098106 / √3 = 0.0566 gives 0.0575, with 2.1 degrees of
    // freedom, cut to 2: Student's t is 4.3027 and U 0.247.
    const firings = [8, 8, 9].map((ms, i) =>
      inventedFiring('as found', '1/125', i + 1, inventedFigures(ms / 1000)),
    );
    const content = certificateContent(inventedInput({ firings }));
    const figures = row(content, '1/125').stages['as found'];
    expect(figures).toMatchObject({
      n: '3',
      error: '+0.06',
      uncertainty: '±0.25',
      spread: '0.098',
      repeats: 'steady',
      verdict: 'within',
      beyond: false,
    });
    // 8 · 2^0.056642 = 8.3203 ms, 1/120.19 s.
    expect(figures.mean).toBe('8.32 ms');
    expect(figures.fraction).toBe('1/120 s');
    expect(row(content, '1/125')).toMatchObject({ reference: '8.00 ms', referenceFraction: '1/125 s' });
    expect(row(content, '1/125').band).toBe('±1/3 stop');
  });

  it('prints outcomes in place of readings and dashes for figures it does not have', () => {
    const content = certificateContent(inventedInput());
    expect(row(content, '1').stages['as found']).toEqual({
      n: '0',
      mean: '–',
      fraction: '–',
      error: '–',
      uncertainty: '–',
      spread: '–',
      repeats: '',
      verdict: 'did not fire',
      conformity: '–',
      beyond: true,
    });
    expect(row(content, 'B').stages['as left'].verdict).toBe('not tried');
    expect(content.chart.marks.find((m) => m.mark === '1')!.notes['as found']).toBe('did not fire');
  });

  it('compares with the exact series when the job says so, and says which', () => {
    const content = certificateContent(inventedInput({ job: inventedJob({ referenceRule: 'exact' }) }));
    expect(row(content, '1/60')).toMatchObject({ reference: '15.6 ms', referenceFraction: '1/64 s' });
    expect(section(content, 'Decision rule').paragraphs.join(' ')).toContain('exact doubling series');
    const marked = certificateContent(inventedInput());
    expect(section(marked, 'Decision rule').paragraphs.join(' ')).toContain('the time as engraved');
  });

  it('lists marks by verdict for the customer, the later stage first', () => {
    const { paragraphs } = certificateContent(inventedInput()).result;
    expect(paragraphs[0]).toBe(
      'As left: 10 of 10 marked speeds within their band. Repeating: 10 of 10 are steady.',
    );
    expect(paragraphs[1]).toMatch(
      /^As found: 3 of 10 .* Did not fire: 1 s\. Slow: .*1\/500 \(0\.78 stop\)\. Repeating: 6 of 9 are steady\. Erratic: 1\/2 \(spread 0\.168 stop\), 1\/4 /,
    );
  });

  it('says so when a stage was not read', () => {
    const job = inventedJob();
    const untouched = { ...job.stages['as left'], outcomes: {} };
    const content = certificateContent(
      inventedInput({
        job: { ...job, stages: { ...job.stages, 'as left': untouched } },
        firings: inventedFirings(LEAF_SERIES).filter((firing) => firing.stage === 'as found'),
      }),
    );
    expect(content.result.paragraphs[0]).toBe('As left: no readings were taken.');
    expect(row(content, '1/60').stages['as left']).toMatchObject({ n: '–', verdict: '–', beyond: false });
    expect(content.comparisons[0]!.notes).toEqual([]);
  });

  it('names what differs between the states of assembly', () => {
    const [state] = certificateContent(inventedInput()).comparisons;
    expect(state!.notes[0]).toContain('(shutter mounted, lens cells, cocked)');
    const input = inventedInput();
    const { assembly } = input.job.stages['as found'];
    const alike = certificateContent({
      ...input,
      firings: input.firings.map((firing) => ({ ...firing, assembly })),
    });
    expect(alike.comparisons[0]!.notes).toEqual([]);
  });

  it('says so when firings of the job could not be read', () => {
    expect(certificateContent(inventedInput({ unreadable: 2 })).notices).toContain(
      '2 firings of this job could not be read and are not in these figures.',
    );
  });

  it('takes the state from the firings, and names every one where they differ', () => {
    const input = inventedInput();
    const [first, ...others] = input.firings;
    const out = { ...first!, assembly: { ...first!.assembly, mounting: 'front plate fastened' as const } };
    const [state] = certificateContent({ ...input, firings: [out, ...others] }).comparisons;
    const mounted = state!.rows.find(({ label }) => label === 'Shutter mounted')!;
    expect(mounted.stages['as found']).toBe('front plate fastened; bare');
    expect(state!.notes[0]).toBe(
      'Readings as found were taken in more than one state (shutter mounted): they are not wholly comparable.',
    );
    // The same states in another order are not unlike.
    const { assembly } = first!;
    const twice = input.firings.map((firing, i) => ({
      ...firing,
      assembly: (i % 2 === 0) === (firing.stage === 'as found') ? assembly : out.assembly,
    }));
    const notes = certificateContent({ ...input, firings: twice }).comparisons[0]!.notes;
    expect(notes).toHaveLength(2);
    expect(notes.join()).not.toContain('unlike');
  });

  it('counts out spoilt and set-aside firings, with their reasons', () => {
    const time = inventedFigures(1 / 60);
    const spoilt = { ...inventedFiring('as found', '1/60', 1, time).firing, spoilt: 'data missing' } as const;
    const firings = [
      inventedFiring('as found', '1/60', 1, time),
      inventedFiring('as found', '1/60', 2, time, { firing: spoilt }),
      inventedFiring('as found', '1/60', 3, time, { firing: spoilt }),
      inventedFiring('as found', '1/60', 4, time, { setAside: 'knocked the stand' }),
      inventedFiring('as left', '1/60', 5, { ...time, remarks: [{ code: 'no open level' }] }),
      inventedFiring('as left', '1/60', 6, time, { movedFrom: ['1/30'] }),
    ];
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found'].n).toBe('1');
    expect(section(content, 'Firings left out or moved')).toMatchObject({
      paragraphs: ['4 of 6 recorded firings were kept but not counted.'],
      items: [
        'As found, 1/60, firings 2, 3: spoilt (data missing).',
        'As found, 1/60, firing 4: set aside (knocked the stand).',
        'As left, 1/60, firing 5: time not valid (never fully open and no reference level).',
        'As left, firing 6: filed under 1/30 first, moved to 1/60.',
      ],
    });
  });

  it('gathers remarks on counted firings by mark', () => {
    const plain = inventedFigures(1 / 250);
    const rebound = inventedFigures(1 / 250, { remarks: [{ code: 'rebound', value: 0.04 }] });
    const firings = [plain, rebound, rebound].map((figures, i) =>
      inventedFiring('as found', '1/250', i + 1, figures),
    );
    const remarks = section(certificateContent(inventedInput({ firings })), 'Remarks on the readings');
    expect(remarks.items).toEqual([
      'As found: light after closing (blade rebound), left out of the times: 1/250 (2 of 3).',
    ]);
  });

  it('judges the open time of a board that times edges, and says so', () => {
    const figures = inventedFigures(0, {
      effective: null,
      total: inventedFigures(1 / 60 / 1.2).total,
      remarks: [{ code: 'open time only' }],
    });
    const firings = [1, 2, 3].map((ordinal) => inventedFiring('as found', '1/60', ordinal, figures));
    const content = certificateContent(inventedInput({ firings }));
    expect(row(content, '1/60').stages['as found']).toMatchObject({ n: '3', error: '0.000' });
    expect(section(content, 'Method').paragraphs[0]).toMatch(/^Each time is an open time/);
  });

  it('flags readings of the practice bench, all of them or some', () => {
    const firings = inventedFirings(LEAF_SERIES).map((firing) => ({
      ...firing,
      board: { ...firing.board, practice: true },
    }));
    const job = inventedJob({ invented: false });
    const all = certificateContent(inventedInput({ job, firings }));
    expect(all.notices).toEqual(['Practice bench: these readings are of a simulated shutter.']);
    expect(all.pageNotice).toBe('Practice bench: simulated shutter');
    const some = certificateContent(
      inventedInput({ job, firings: [...firings.slice(1), ...inventedFirings(LEAF_SERIES).slice(0, 1)] }),
    );
    expect(some.notices[0]).toContain('some of these readings');
    const none = certificateContent(inventedInput({ job }));
    expect(none.notices).toEqual([]);
    expect(none.pageNotice).toBe('');
  });

  it('identifies every board that took part', () => {
    const [first, ...others] = inventedFirings(LEAF_SERIES);
    const other = { ...first!, board: { ...first!.board, serial: 'LC-8', image: '00FF00FF' } };
    const said = instrumentWords([other, ...others]);
    expect(said('Board serial number')).toBe('LC-8; LC-7');
    expect(said('Firmware image, CRC-32')).toBe('00FF00FF; 1A2B3C4D');
  });

  it('leaves out firings of other jobs', () => {
    const firings = inventedFirings(LEAF_SERIES);
    const strange = { ...inventedFiring('as left', '1/60', 999, inventedFigures(1)), jobId: 'job-2' };
    expect(certificateContent(inventedInput({ firings: [...firings, strange] }))).toEqual(
      certificateContent(inventedInput({ firings })),
    );
  });

  it('lists what was not tested, marks that nobody touched among them', () => {
    const firings = inventedFirings(LEAF_SERIES).filter((firing) => firing.mark !== '1/15');
    const content = certificateContent(inventedInput({ firings }));
    const { paragraphs } = content.front.find(({ heading }) => heading === 'What was not tested')!;
    expect(paragraphs).toEqual([
      'Timing of the flash contact; delay of the self-timer; exposure meter; exposure times with the iris stopped down; evenness across the frame; mechanics; focus; film transport; tightness to light.',
      'Marks that were not tried: 1/15.',
    ]);
    expect(row(content, '1/15')).toBeUndefined();
    expect(content.result.paragraphs[0]).toContain('Not tried: 1/15.');
  });

  it('prints days in the zone asked for, or as written', () => {
    const job = inventedJob({ received: '2031-03-02T23:30:00Z' });
    const received = (timeZone?: string) =>
      certificateContent(inventedInput(timeZone === undefined ? { job } : { job, timeZone }))
        .particulars.flatMap((group) => group.fields)
        .find((field) => field.label === 'Received')!.lines;
    expect(received()).toEqual(['2031-03-02']);
    expect(received('Europe/Berlin')).toEqual(['2031-03-03']);
    expect(received('America/New_York')).toEqual(['2031-03-02']);
    expect(() => received('Nowhere/Land')).toThrow(RangeError);
  });

  it('refuses an empty number and a date that is none', () => {
    expect(() => certificateContent(inventedInput({ certificateNumber: ' ' }))).toThrow(/needs a number/);
    expect(() => certificateContent(inventedInput({ issued: 'today' }))).toThrow(/no date of issue/);
  });

  it('composes accents and drops control characters', () => {
    const job = inventedJob();
    const content = certificateContent(
      inventedInput({
        job: { ...job, customer: { name: 'Nguye\u0302\u0303n\u0007 \u202eX\ud800', contact: 'a\nb' } },
      }),
    );
    const [name, contact] = content.particulars[0]!.fields;
    expect(name!.lines).toEqual(['Nguy\u1ec5n  X\ufffd']);
    expect(contact!.lines).toEqual(['a', 'b']);
  });
});
