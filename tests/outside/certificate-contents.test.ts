/**
 * What a calibration certificate has to hold: ISO/IEC 17025:2017, 7.8.2.1, 7.8.4.1, 7.8.6 and 7.8.7 (partly from
 * memory). Meeting the list doesn't make the paper an accredited one, which it must say.
 */
import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { paperPdf } from '../../app/certificate/pdf.ts';
import { FONTS } from '../certificate/certificate-fonts.ts';
import { inventedInput, inventedJob } from '../certificate/invented-job.ts';
import { flowingText, pageTexts } from '../certificate/pdf-tools.ts';

const pdf = paperPdf(certificateContent(inventedInput()), FONTS);

describe('the contents of a certificate against ISO/IEC 17025:2017, 7.8', () => {
  it.each([
    ['7.8.2.1 a, a title', /Certificate of shutter speeds/],
    [
      '7.8.2.1 b, name and address of the laboratory',
      /Musterwerkstatt Blendenstern Erfundene Gasse 7 12345 Nirgendwo/,
    ],
    ['7.8.2.1 e, name and contact of the customer', /Name Ida Beispiel Contact ida@example\.org/],
    ['7.8.2.1 f, the method', /Method Each time is an effective exposure time/],
    ['7.8.2.1 g, the item, unambiguously', /Body no\. 1204 .*Shutter no\. 88-301/],
    ['7.8.2.1 h, the date of receipt', /Received 2031-03-02/],
    ['7.8.2.1 i, the dates of the work', /As found 2031-03-03 As left 2031-03-05/],
    ['7.8.2.1 j, the date of issue', /Issued 2031-03-06/],
    ['7.8.2.1 l, that the results relate to this item only', /results relate only to the item described/],
    [
      '7.8.2.1 m, results with their units',
      /Error ± U, EV SD, EV Verdict .*1\/60 16\.7 ms 1\/60 s 3 20\.1 ms 1\/50 s \+0\.27 ±0\.28 0\.11 steady within P 79 %/,
    ],
    ['7.8.2.1 n, deviations from the method', /Remarks on the readings/],
    ['7.8.2.1 o, who authorises it', /Signature: A\. Niemand/],
    [
      '7.8.4.1 a, the uncertainty in the unit of the result, with its coverage',
      /U: its expanded uncertainty for a coverage of about 95 %.*Uncertainty budget of the mean errors as left .*k U, EV U, % of time 1 (0\.\d{4} ){2}– – (0\.\d{4} ){3}[\d.]+ [\d.]+ 0\.\d+/,
    ],
    ['7.8.4.1 a, where it comes from', /Repeatability of the firings \(type A.*Clock check \(type B/],
    [
      '7.8.4.1 c, what the results are traced to, and that no more is claimed',
      /Clock of the board compared with the computer's .*Checks of the instrument .*reference light, 2031-03-03 09:55: passed.*no traceability to a national standard is claimed/,
    ],
    ['7.8.4.1 b, the conditions', /State and conditions .*Temperature 21 °C 22\.5 °C/],
    ['7.8.4.1 d, results before and after adjustment', /As found As left/],
    [
      '7.8.6.1, the decision rule and how it takes account of the uncertainty',
      /Decision rule Simple acceptance .*guard band w = 0.*not allowed for/,
    ],
    [
      '7.8.6.2, which results conform, and to what',
      /10 of 10 marked speeds within their band.*The band is ±1\/3 stop .*As left, the results that conform to their bands by this rule: 1 s, 1\/2, .*1\/500\. .*As found, the results that conform to their bands by this rule: 1\/30, 1\/60, 1\/250\./,
    ],
    [
      '7.8.7, interpretations marked as such',
      /What the readings suggest Suggestions .*no part of the results/,
    ],
    ['no false claim', /This is not an accredited calibration certificate/],
  ])('%s', async (_, words) => {
    expect(flowingText(await pdf)).toMatch(words);
  });

  it('7.8.6.1, the guard band where the job asks for one', async () => {
    const job = inventedJob({ decisionRule: 'guard band' });
    const text = flowingText(await paperPdf(certificateContent(inventedInput({ job })), FONTS));
    expect(text).toMatch(/Decision rule Guard band w = U/);
    expect(text).toMatch(/Conditional pass: 1\/30, 1\/60, 1\/250\./);
    expect(text).toMatch(/As found, the results that conform to their bands by this rule: none\./);
  });

  it('7.8.2.1 d, a unique identification on every page and a clear end', async () => {
    const pages = pageTexts(await pdf);
    for (const page of pages) expect(page).toContain('Certificate no. LC-2031-0007');
    expect(pages.at(-1)).toContain('End of certificate no. LC-2031-0007');
  });

  it('7.8.4.3, no advice on when to calibrate again', async () => {
    expect(flowingText(await pdf)).not.toMatch(/recalibrat|next calibration|due date|valid until/i);
  });
});
