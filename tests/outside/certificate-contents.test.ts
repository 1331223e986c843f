/**
 * What a calibration certificate has to hold: ISO/IEC 17025:2017, 7.8.2.1, 7.8.4.1 and 7.8.6 (partly from
 * memory). Meeting the list doesn't make the paper an accredited one, which it must say.
 */
import { describe, expect, it } from 'vitest';
import { certificateContent } from '../../app/certificate/content.ts';
import { certificatePdf } from '../../app/certificate/pdf.ts';
import { FONTS } from '../certificate/certificate-fonts.ts';
import { inventedInput } from '../certificate/invented-job.ts';
import { flowingText, pageTexts } from '../certificate/pdf-tools.ts';

const pdf = certificatePdf(certificateContent(inventedInput()), FONTS);

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
    ['7.8.2.1 m, results with their units', /1\/60 16\.7 ms 1\/60 s 3 20\.1 ms 1\/50 s \+0\.27 0\.11 within/],
    ['7.8.2.1 n, deviations from the method', /Remarks on the readings/],
    ['7.8.2.1 o, who authorises it', /Signature: A\. Niemand/],
    [
      '7.8.4.1 a, uncertainty: that none is stated',
      /measurement uncertainty of these readings has not been stated/,
    ],
    ['7.8.4.1 b, the conditions', /State and conditions .*Temperature 21 °C 22\.5 °C/],
    ['7.8.4.1 d, results before and after adjustment', /As found As left/],
    ['7.8.6.1, the decision rule', /Decision rule Simple acceptance/],
    [
      '7.8.6.2, which results conform, and to what',
      /10 of 10 marked speeds within their band.*The band is ±1\/3 stop/,
    ],
    ['no false claim', /This is not an accredited calibration certificate/],
  ])('%s', async (_, words) => {
    expect(flowingText(await pdf)).toMatch(words);
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
