/** Papers: saved, noted in the job, and checked again on the page, whole or tampered with. */
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterEach, describe, expect, it } from 'vitest';
import { Rig } from '../rig/rig.ts';
import { BenchPage } from './bench-page.ts';
import { setUpPractice } from './bench-rig.ts';

let rig: Rig | null = null;
afterEach(() => rig?.close());

const run = (command: string, ...args: string[]) => execFileSync(command, args, { encoding: 'utf8' });
const textOf = (file: string) => run('pdftotext', '-raw', file, '-').replace(/\s+/g, ' ');

/** Saves the paper that is chosen; the path of the file, under the name the page gave it. */
async function save(bench: BenchPage, directory: string): Promise<string> {
  const download = await bench.savePdf();
  const file = path.join(directory, download.suggestedFilename());
  await download.saveAs(file);
  await bench.page.waitForSelector('[data-outcome^="Saved as"]');
  return file;
}

interface Checked {
  readonly outcome: string;
  readonly issuedHere: string | null;
  readonly words: string;
}

async function check(page: Page, name: string, bytes: Uint8Array): Promise<Checked> {
  const buffer = Buffer.from(bytes);
  const mimeType = name.endsWith('.pdf') ? 'application/pdf' : 'application/json';
  await page.setInputFiles('[data-control=check-paper]', { name, mimeType, buffer });
  return checked(page, name);
}

async function checked(page: Page, name: string): Promise<Checked> {
  const found = page.locator('[data-checked]:not([data-checked=nothing]):not([data-checked=looking])');
  await found.filter({ hasText: name }).waitFor();
  const issued = page.locator('[data-issued-here]');
  return {
    outcome: (await found.getAttribute('data-checked')) ?? '',
    issuedHere: (await issued.count()) === 0 ? null : await issued.getAttribute('data-issued-here'),
    words: ((await found.textContent()) ?? '').replace(/\s+/g, ' '),
  };
}

describe('a certificate', () => {
  it('carries its readings, prints their SHA-256, is noted in the job and can be checked again', async () => {
    const { rig: own, browser, bench } = await setUpPractice();
    rig = own;
    const { page } = browser;
    await bench.setPracticeDial('1/60');
    await bench.firePractice(3);
    const file = await save(bench, rig.directory);
    const text = textOf(file);
    const printed = /SHA-256 of that file: ((?:[0-9a-f]{8} ){7}[0-9a-f]{8}) /.exec(text)![1]!;
    const attached = path.join(rig.directory, 'attached.json');
    run('pdfdetach', '-save', '1', '-o', attached, file);
    const data = fs.readFileSync(attached);
    const sha256 = createHash('sha256').update(data).digest('hex');
    expect(printed.replaceAll(' ', '')).toBe(sha256);
    expect(run('qpdf', '--check', file)).toContain('No syntax or stream encoding errors');
    expect(JSON.parse(data.toString()).firings).toHaveLength(3);

    const number = /Certificate no\. (\S+)/.exec(text)![1]!;
    const noted = page.locator(`[data-issued="${number}"]`);
    expect(await noted.textContent()).toContain(sha256);
    expect(await noted.textContent()).toContain('certificate');

    const pdf = fs.readFileSync(file);
    expect(await check(page, 'mine.pdf', pdf)).toMatchObject({
      outcome: 'agrees',
      issuedHere: 'yes',
      words: expect.stringContaining(printed),
    });
    expect(await check(page, 'mine.json', data)).toMatchObject({ outcome: 'to compare', issuedHere: 'yes' });

    // A figure changed in the data, one digit of the sum changed in the PDF, and what is no paper at all.
    const changed = Buffer.from(data.toString().replace('"mark":"1/60"', '"mark":"1/30"'));
    expect(changed.equals(data)).toBe(false);
    const other = await check(page, 'changed.json', changed);
    expect(other).toMatchObject({ outcome: 'to compare', issuedHere: 'other data' });
    expect(other.words).toContain('but with other data');
    const spaced = Buffer.from(data.toString().replace('{', '{ '));
    expect(await check(page, 'spaced.json', spaced)).toMatchObject({ outcome: 'changed' });
    const at = pdf.indexOf(sha256);
    expect(at).toBeGreaterThan(0);
    const tampered = Buffer.from(pdf);
    tampered.write(sha256.startsWith('0') ? '1' : '0', at, 'latin1');
    // Dropped onto the page instead of chosen.
    await page.evaluate(
      (bytes) => {
        const transfer = new DataTransfer();
        transfer.items.add(new File([new Uint8Array(bytes)], 'tampered.pdf', { type: 'application/pdf' }));
        const drop = new DragEvent('drop', { dataTransfer: transfer, bubbles: true, cancelable: true });
        document.querySelector('[data-control=check-paper]')!.parentElement!.dispatchEvent(drop);
      },
      [...tampered],
    );
    const told = await checked(page, 'tampered.pdf');
    expect(told.outcome).toBe('changed');
    expect(told.words).toContain('not those that it was written with');
    for (const [name, content] of [
      ['foreign.json', '{"format":"something else"}'],
      ['torn.pdf', pdf.subarray(0, 5000).toString('latin1')],
    ] as const)
      expect((await check(page, name, Buffer.from(content, 'latin1'))).outcome).toBe('refused');

    // What was issued stays with the job, and is not undone by accident.
    await page.reload();
    await page.waitForSelector(`[data-issued="${number}"]`);
    expect(await page.locator('[data-issued]').count()).toBe(1);

    // Elsewhere the paper can be checked as well, without a job; nobody there has issued it.
    const elsewhere = await page.context().browser()!.newContext();
    const stranger = await elsewhere.newPage();
    await stranger.goto(`${bench.origin}/#certificate`);
    await stranger.waitForSelector('[data-control=check-paper]');
    expect(await check(stranger, 'theirs.pdf', pdf)).toMatchObject({ outcome: 'agrees', issuedHere: 'no' });
    await elsewhere.close();

    expect(browser.complaints).toEqual([]);
    expect(browser.foreignRequests).toEqual([]);
  });

  it('is a test report on Letter where the workshop likes it so, and says beforehand what can’t be printed', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    const bench = new BenchPage(page, origin);
    await bench.newJob({ customer: 'Nguyễn Thị Ánh 漢', description: 'Φωτογραφική Щит' });
    await bench.open('settings');
    await page.selectOption('[data-field=paper-title]', 'test report');
    await bench.open('certificate');
    await page.waitForSelector('[data-unprintable="漢"]');
    expect(await page.textContent('[data-unprintable]')).toContain('open square');
    expect(await page.textContent('[data-action=save-pdf]')).toContain('test report');
    await page.selectOption('[data-control=paper]', 'Letter');
    const file = await save(bench, rig.directory);
    expect(path.basename(file)).toMatch(/^test-report-.*-Φωτογραφική-Щит\.pdf$/);
    const text = textOf(file);
    expect(text).toMatch(/Test report no\. /);
    expect(text.normalize('NFC')).toContain('Name Nguyễn Thị Ánh □');
    expect(text).toContain('Φωτογραφική Щит');
    expect(text).toContain('An open square (□) stands for');
    expect(run('pdfinfo', file)).toMatch(/Page size: +612 x 792/);
    expect(run('pdfinfo', '-struct-text', file)).toMatch(/^ *H1 /m);

    // Put right, nothing is said any more.
    await bench.open('job');
    await page.fill('[data-field=customer]', 'Nguyễn Thị Ánh');
    await page.press('[data-field=customer]', 'Tab');
    await bench.open('certificate');
    await page.waitForSelector('[data-unprintable]', { state: 'detached' });
    expect(browser.complaints).toEqual([]);
    expect(browser.foreignRequests).toEqual([]);
  });

  it('is one plain page for a camera that came in dead, with the remarks and no figure', async () => {
    rig = new Rig();
    const { origin } = await rig.servePage();
    const browser = await rig.launch(origin);
    const { page } = browser;
    const bench = new BenchPage(page, origin);
    await bench.newJob({ customer: 'Customer of a Test', description: 'Camera of a test' });
    await page.fill('[data-field=work-remarks]', 'Main spring broken; no spare to be had.');
    await page.press('[data-field=work-remarks]', 'Tab');
    await bench.open('certificate');
    expect(await page.locator('[data-table=certificate]').count()).toBe(0);
    const file = await save(bench, rig.directory);
    const text = textOf(file);
    expect(run('pdfinfo', file)).toMatch(/Pages: +1\b/);
    expect(text).toMatch(/No shutter speed was read.*Main spring broken; no spare.*Authorised by:/);
    expect(text).not.toMatch(/NaN|undefined|Decision rule/);
    expect(await page.locator('[data-issued]').count()).toBe(1);
    expect(browser.complaints).toEqual([]);
    expect(browser.foreignRequests).toEqual([]);
  });
});

it('results go into a table for a spreadsheet, with commas or with semicolons', async () => {
  const { rig: own, browser, bench } = await setUpPractice();
  rig = own;
  const { page } = browser;
  await bench.setPracticeDial('1/60');
  await bench.firePractice(2);
  await bench.open('certificate');
  const table = async (action: string) => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.click(`[data-action=${action}]`),
    ]);
    return fs.readFileSync(await download.path(), 'utf8').split('\r\n');
  };
  await page.selectOption('[data-control=separator]', ',');
  const [head, ...lines] = await table('save-csv');
  expect(head).toContain('Mean error (EV)');
  const fired = lines.filter((line) => line.includes('1/60 s'));
  expect(fired).toHaveLength(1);
  const cells = fired[0]!.split(',');
  expect(cells[head!.split(',').indexOf('Counted')]).toBe('2');
  const error = Number(cells[head!.split(',').indexOf('Mean error (EV)')]);
  const shown = await page.textContent('[data-table=certificate] [data-mark="1/60"] td:nth-of-type(5)');
  expect(Number(/[+−]?[\d.]+/.exec(shown!)![0].replace('−', '-'))).toBeCloseTo(error, 2);
  await page.selectOption('[data-control=separator]', ';');
  const firings = await table('save-firings-csv');
  expect(firings.filter((line) => line.includes(';1/60 s;'))).toHaveLength(2);
  expect(firings[1]).toMatch(/;0,01\d+;/);
  expect(browser.complaints).toEqual([]);
});
