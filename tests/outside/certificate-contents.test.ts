/**
 * What a calibration certificate has to hold: ISO/IEC 17025:2017, 7.8.2.1, 7.8.2.2, 7.8.4.1, 7.8.6 and 7.8.7 (partly
 * from memory), as far as a workshop without accreditation can state it. Meeting the list doesn't make the paper an
 * accredited one, which it must say.
 */
import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { paperPdf } from '../../app/certificate/pdf.ts';
import { FONTS } from '../certificate/certificate-fonts.ts';
import { inventedInput, inventedJob } from '../certificate/invented-job.ts';
import { flowingText, pageTexts } from '../certificate/pdf-tools.ts';
import { deadArrival, wholeInput } from '../certificate/whole-job.ts';

const whole = paperPdf(certificateContent(wholeInput()), FONTS);
const report = paperPdf(certificateContent(wholeInput({ title: 'test report', paper: 'Letter' })), FONTS);
const deadOne = paperPdf(certificateContent(deadArrival()), FONTS);

/** Read once, looked at often. */
const wholeText = whole.then(flowingText);
const reportText = report.then(flowingText);
const deadText = deadOne.then(flowingText);

/** Demanded of every paper, whatever was read. `title` is what the workshop calls it. */
const OF_ANY_PAPER = (title: string): readonly (readonly [string, RegExp])[] => [
  [
    '7.8.2.1 b and c, name and address of the laboratory, where the work was done',
    /Musterwerkstatt Blendenstern Erfundene Gasse 7 12345 Nirgendwo/,
  ],
  ['7.8.2.1 e, name and contact of the customer', /Name Ida Beispiel Contact ida@example\.org/],
  ['7.8.2.1 g, the item, unambiguously', /Body no\. 1204 .*Shutter no\. 88-301/],
  ['7.8.2.1 h, the date of receipt', /Received 2031-03-02/],
  ['7.8.2.1 j, the date of issue', /Issued 2031-03-06/],
  ['7.8.2.1 l, that the results relate to this item only', /results relate only to the item described/],
  ['7.8.2.1 o, who authorises it', /Authorised by: A\. Niemand/],
  [
    '7.8.2.1, note, that it is to be passed on whole',
    new RegExp(`passed on whole: parts of a ${title} can mislead`),
  ],
  ['7.8.2.2, what the customer has stated', /What the customer stated \(complaint, description .*as stated/],
  ['no false claim', /This is not an accredited calibration certificate/],
];

describe('the contents of a certificate against ISO/IEC 17025:2017, 7.8', () => {
  it.each([
    ['7.8.2.1 a, a title', /Certificate of shutter speeds/] as const,
    ...OF_ANY_PAPER('certificate'),
    ['7.8.2.1 f, the method', /Method Each time is an effective exposure time/] as const,
    [
      '7.8.2.1 g, the condition of the item',
      /Complaint Slow speeds hang in the cold .*State and conditions .*Shutter mounted bare in the body/,
    ] as const,
    ['7.8.2.1 i, the dates of the work', /As found 2031-03-03 As left 2031-03-05/] as const,
    [
      '7.8.2.1 m, results with their units',
      /Error ± U, EV SD, EV Verdict .*1\/60 16\.7 ms 1\/60 s 3 20\.1 ms 1\/50 s \+0\.27 ±0\.28 0\.11 steady within P 79 %/,
    ] as const,
    [
      '7.8.2.1 m, results of the other tests with theirs',
      /Margin, ms SD, ms .*Light, cd\/m² Expected, EV .*The self-timer ran 10\.45 s/,
    ] as const,
    [
      '7.8.2.1 n, deviations from the method',
      /Firings left out or moved 2 of 94 .*Remarks on the readings/,
    ] as const,
    [
      '7.8.4.1 a, the uncertainty in the unit of the result, with its coverage',
      /U: its expanded uncertainty for a coverage of about 95 %.*Uncertainty budget of the mean errors as left .*k U, EV U, % of time 1 (0\.\d{4} ){2}– – (0\.\d{4} ){3}[\d.]+ [\d.]+ 0\.\d+/,
    ] as const,
    [
      '7.8.4.1 a, where it comes from',
      /Repeatability of the firings \(type A.*Clock check \(type B/,
    ] as const,
    [
      '7.8.4.1 a, that of the light that the meter was read in',
      /opal lamp panel .* known to ±0\.20 EV \(about 95 %\)/,
    ] as const,
    [
      '7.8.4.1 b, the conditions of all stages',
      /Trials, in short .*Temperature: 21 °C.*After rest, in short .*Temperature: 19\.5 °C.*State and conditions .*Temperature 21 °C 22\.5 °C/,
    ] as const,
    [
      '7.8.4.1 c, what the results are traced to, and that no more is claimed',
      /Clock of the board compared with the computer's .*Checks of the instrument .*reference light, 2031-03-03 09:55: passed.*no traceability to a national standard is claimed/,
    ] as const,
    ['7.8.4.1 d, results before and after adjustment', /As found As left/] as const,
    [
      '7.8.4.1 d, what the adjustment was',
      /Work 1, 2031-03-04: cleaned.*Work 2, 2031-03-04: governor out by 0\.25 turns/,
    ] as const,
    [
      '7.8.6.1, the decision rule and how it takes account of the uncertainty',
      /Decision rule Simple acceptance .*guard band w = 0.*not allowed for/,
    ] as const,
    [
      '7.8.6.2, which results conform, and to what',
      /10 of 10 marked speeds within their band.*The band is ±1\/3 stop .*As left, the results that conform to their bands by this rule: 1 s, 1\/2, .*1\/500\. .*As found, the results that conform to their bands by this rule: 1\/30, 1\/60, 1\/250\./,
    ] as const,
    [
      '7.8.7, interpretations marked as such',
      /What the readings suggest Suggestions .*no part of the results/,
    ] as const,
    ['what was not tested', /What was not tested Exposure times with the iris stopped down/] as const,
  ])('%s', async (_, words) => {
    expect(await wholeText).toMatch(words);
  });

  it.each([['7.8.2.1 a, a title', /Test report of shutter speeds/] as const, ...OF_ANY_PAPER('test report')])(
    'a test report: %s',
    async (_, words) => {
      expect(await reportText).toMatch(words);
    },
  );

  it.each([
    ['7.8.2.1 a, a title', /Certificate of examination/] as const,
    ...OF_ANY_PAPER('certificate'),
    ['that nothing was read', /No shutter speed was read.*What was not tested Shutter speeds;/] as const,
  ])('a paper on a camera that did not fire: %s', async (_, words) => {
    expect(await deadText).toMatch(words);
  });

  it('7.8.6.1, the guard band where the job asks for one', async () => {
    const job = inventedJob({ decisionRule: 'guard band' });
    const text = flowingText(await paperPdf(certificateContent(inventedInput({ job })), FONTS));
    expect(text).toMatch(/Decision rule Guard band w = U/);
    expect(text).toMatch(/Conditional pass: 1\/30, 1\/60, 1\/250\./);
    expect(text).toMatch(/As found, the results that conform to their bands by this rule: none\./);
  });

  it.each([
    ['certificate', whole],
    ['test report', report],
    ['certificate', deadOne],
  ] as const)(
    '7.8.2.1 d, a unique identification on every page of a %s and a clear end',
    async (title, pdf) => {
      const pages = pageTexts(await pdf);
      const named = title.charAt(0).toUpperCase() + title.slice(1);
      pages.forEach((page, index) => {
        expect(page).toContain(`${named} no. LC-2031-0007`);
        expect(page).toContain(`Page ${index + 1} of ${pages.length}`);
      });
      expect(pages.at(-1)).toContain(`End of ${title} no. LC-2031-0007`);
    },
  );

  it.each([
    ['certificate', wholeText],
    ['test report', reportText],
    ['dead arrival', deadText],
  ] as const)('7.8.4.3, no advice on when to calibrate again: %s', async (_, text) => {
    expect(await text).not.toMatch(
      /recalibrat|re-calibrat|calibrate again|next calibration|next service|interval between|due date|valid until/i,
    );
  });
});
