import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { paperPdf } from '../../app/certificate/pdf.ts';
import type { Job } from '../../app/record/job.ts';
import { newJob, returningJob } from '../../app/record/new-job.ts';
import { FONTS } from './certificate-fonts.ts';
import { inventedFirings, inventedInput, inventedJob } from './invented-job.ts';
import { flowingText, pageTexts, wordBoxes } from './pdf-tools.ts';
import { deadArrival, wholeInput, wholeJob } from './whole-job.ts';

const front = (job: Job, heading: string) =>
  certificateContent(wholeInput({ job })).front.find((section) => section.heading === heading);

describe('the first page of a certificate', () => {
  it('says what was done, with parts and lubricants, in the workshop’s words', () => {
    expect(front(wholeJob(), 'Work done')!.paragraphs).toEqual([
      'Shutter opened, blades and governor cleaned, governor set.',
      'Back catch bent true.',
      'Parts: One light seal, foam 2 mm',
      'Lubricants: Watch oil on the pivots of the governor; blades dry',
    ]);
    expect(front(wholeJob(), 'Remarks')!.paragraphs).toEqual(['Let the self-timer be: its spring is tired.']);
    const work = { done: ' ', parts: '', lubricants: '', remarks: '' };
    expect(front(wholeJob({ work }), 'Work done')!.paragraphs).toEqual([
      'As the steps of work overleaf say.',
    ]);
    expect(front(wholeJob({ work, steps: [] }), 'Work done')!.paragraphs).toEqual(['None noted.']);
    expect(front(wholeJob({ work }), 'Remarks')).toBeUndefined();
  });

  it('sums up the further checks, each in a sentence, and leaves out those that were not made', () => {
    const items = front(wholeJob(), 'Further checks')!.items;
    expect(items).toEqual([
      'Flash contact at X, for a flash of 1.00 ms: in time at 1 s, 1/2, 1/4, 1/8, 1/15, 1/30, 1/60, 1/125, 1/250; too late at 1/500.',
      expect.stringMatching(/^The self-timer ran 10\.45 s on average in 3 runs .*it hesitates/),
      'Exposure meter, at 3 points of light: usable with correction: give 1 stop more exposure than it says; on average it reads too high by 1.00 stop: film gets too little light.',
      'Mechanical checks: 2 good; adjusted: Focus (infinity set on a collimator (invented)); fault: Light seals (crumbling at the hinge); not fitted: Rangefinder and viewfinder.',
    ]);
    expect(certificateContent(inventedInput()).front.map(({ heading }) => heading)).toEqual([
      'Work done',
      'What was not tested',
    ]);
  });

  it('names what was not tested: sorts of test, checks of the list, marks', () => {
    // What a reading stands for is not missing: the list's own self-timer was timed.
    expect(front(wholeJob(), 'What was not tested')!.paragraphs).toEqual([
      'Exposure times with the iris stopped down; evenness across the frame; Aperture blades.',
    ]);
    const untimed = front(wholeJob({ selfTimer: [], meter: null }), 'What was not tested')!.paragraphs[0];
    expect(untimed).toBe(
      'Self-timer; exposure meter; exposure times with the iris stopped down; evenness across the frame; Aperture blades.',
    );
  });

  it('has as found beside as left in plain words, and holds for a customer without the pages behind it', async () => {
    const content = certificateContent(wholeInput());
    const [first, second] = pageTexts(await paperPdf(content, FONTS));
    for (const { mark, stages } of content.rows.filter((row) => row.reference !== '–')) {
      const line = first!.split('\n').find((one) => new RegExp(`^ *${mark} {3}`).test(one))!;
      for (const stage of ['as found', 'as left'] as const) {
        const { fraction, error, verdict } = stages[stage];
        for (const words of [fraction, error, verdict]) expect(line.replace(/\s+/g, ' ')).toContain(words);
      }
    }
    for (const words of ['Result', 'Work done', 'Further checks', 'What was not tested', 'Remarks'])
      expect(first).toContain(words);
    expect(first).not.toMatch(/Uncertainty budget|Repeatability|Combined u/);
    expect(second).toContain('Details of the measurement');
  });

  it('keeps every word between the margins, on A4 and on Letter, with few entries and with many', async () => {
    const long = {
      done: `${'Taken apart, cleaned, looked at under the glass. '.repeat(30)}\n${'Überlang'.repeat(40)}`,
      parts: 'a spring, '.repeat(40),
      lubricants: '',
      remarks: 'Please read this. '.repeat(60),
    };
    const mechanics = wholeJob().mechanics.map((check, i) => ({
      ...check,
      note: i % 2 === 0 ? 'a note that has to be broken into lines '.repeat(8) : 'Unbrechbar'.repeat(30),
    }));
    for (const input of [
      inventedInput({ firings: inventedFirings(inventedJob().series).slice(0, 3) }),
      wholeInput({ job: wholeJob({ work: long, mechanics }) }),
    ])
      for (const [paper, width] of [
        ['A4', 595.28],
        ['Letter', 612],
      ] as const) {
        const pages = wordBoxes(await paperPdf(certificateContent({ ...input, paper }), FONTS));
        for (const word of pages.flat()) {
          expect(word.left, word.word).toBeGreaterThan(41);
          expect(word.right, word.word).toBeLessThan(width - 41);
        }
      }
  });
});

describe('what the workshop calls it', () => {
  it('is certificate or test report, on each page and at the end, and never accredited', async () => {
    const pages = pageTexts(await paperPdf(certificateContent(wholeInput({ title: 'test report' })), FONTS));
    expect(pages[0]).toContain('Test report of shutter speeds');
    for (const page of pages) expect(page).toContain('Test report no. LC-2031-0007');
    const text = pages.join('\n').replace(/\s+/g, ' ');
    expect(text).toContain('End of test report no. LC-2031-0007');
    expect(text).toMatch(/Limits of this .* test report /);
    expect(text.match(/accredit\w*/g)).toEqual(['accredited', 'accredited', 'accreditation']);
    expect(text.match(/certificate/gi)!.length).toBe(
      text.match(/accredited calibration certificate/g)!.length,
    );
  });
});

describe('a camera that can’t be fired', () => {
  it('still gets a paper: one page that says so, with remarks, limits and signature', async () => {
    const content = certificateContent(deadArrival());
    expect(content.title).toBe('Certificate of examination');
    expect(content.result.paragraphs).toEqual(['No shutter speed was read, neither as found nor as left.']);
    const pdf = await paperPdf(content, FONTS);
    expect(pageTexts(pdf)).toHaveLength(1);
    const text = flowingText(pdf);
    expect(text).toMatch(
      /Complaint Does nothing at all .*Work done None noted\. What was not tested Shutter speeds; timing of the flash contact; .*Remarks Mainspring broken; no spare to be had\. Limits of this certificate .*Authorised by: A\. Niemand .*End of certificate/,
    );
    expect(text).not.toMatch(/NaN|undefined|null|Decision rule|U: its expanded|0 of 0/);
  });

  it('shows what was tried and did not fire, without figures that nobody has', () => {
    const job = deadArrival().job;
    const found = {
      ...job.stages['as found'],
      outcomes: { '1/60': 'did not fire', '1': 'stuck open' },
    } as const;
    const content = certificateContent(deadArrival({ stages: { ...job.stages, 'as found': found } }));
    expect(content.rows.map(({ mark, stages }) => [mark, stages['as found'].verdict])).toEqual([
      ['1', 'stuck open'],
      ['1/60', 'did not fire'],
    ]);
    expect(content.result.paragraphs[1]).toMatch(
      /^As found: 0 of 10 marked speeds within their band\. Did not fire: 1\/60\. Stuck open: 1 s\./,
    );
    expect(content.key).toEqual([]);
    expect(content.tables).toEqual([]);
  });
});

describe('papers for a new owner', () => {
  it('never show the former customer', async () => {
    const start = { id: 'job-2', number: 'J-0043', received: '2032-05-01T10:00:00Z' };
    const earlier = wholeJob({ customer: { name: 'Former Owner', contact: 'former@example.org' } });
    const job = returningJob({ ...start, customer: { name: 'New Owner', contact: '' } }, earlier);
    const text = flowingText(await paperPdf(certificateContent(inventedInput({ job, firings: [] })), FONTS));
    expect(text).toContain('New Owner');
    expect(text).toContain(job.camera.bodySerial);
    expect(text).not.toMatch(/Former|former@/);
    expect(text).not.toContain(earlier.complaint);
  });

  it('are written for a job of which nothing is known yet', async () => {
    const job = newJob({ id: 'job-3', number: '3', received: '2032-05-01T10:00:00Z' });
    const text = flowingText(await paperPdf(certificateContent(inventedInput({ job, firings: [] })), FONTS));
    expect(text).toContain('Name –');
    expect(text).not.toMatch(/NaN|undefined|null/);
  });
});
