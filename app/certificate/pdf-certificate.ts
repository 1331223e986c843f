/** The pages of a certificate: the first for the customer, the measuring behind it. */

import type { CertificateContent } from './certificate.ts';
import { errorChart } from './chart.ts';
import { drawPrimitives } from './pdf-chart.ts';
import { drawComparison } from './pdf-comparison.ts';
import type { PaperExtras } from './pdf-document.ts';
import { drawFirstPageHead } from './pdf-first-page-head.ts';
import { drawFooters } from './pdf-footers.ts';
import { drawParticulars } from './pdf-particulars.ts';
import { drawPlainTable } from './pdf-plain-table.ts';
import { drawResult, drawSection, sectionHeight } from './pdf-section.ts';
import { BODY, type Sheet, SMALL_FAINT, type Style } from './pdf-sheet.ts';
import { drawSignature, SIGNATURE_HEIGHT } from './pdf-signature.ts';
import { drawSpeedTable } from './pdf-table.ts';
import { DETAILED_LAYOUT, PLAIN_LAYOUT } from './speed-table-layouts.ts';

/** Heading, head of the table and some of its rows. */
const DETAILS_LEAST = 150;
const DETAILS: Style = { ...BODY, face: 'bold', size: 13 };

export function drawCertificate(sheet: Sheet, content: CertificateContent, extras: PaperExtras): void {
  drawFirstPageHead(sheet, content, extras.logo);
  drawParticulars(sheet, content.particulars);
  drawResult(sheet, content.result);
  if (content.rows.length > 0) {
    drawSpeedTable(sheet, content.rows, PLAIN_LAYOUT);
    drawKey(sheet, content.plainKey);
  }
  for (const section of content.front) drawSection(sheet, section);
  if (content.key.length > 0) drawDetails(sheet, content);
  for (const table of content.tables) drawPlainTable(sheet, table);
  for (const comparison of content.comparisons) drawComparison(sheet, comparison);
  const last = content.sections.length - LAST_TOGETHER;
  content.sections.forEach((section, index) => {
    if (index === last) sheet.need(closingHeight(sheet, content));
    drawSection(sheet, section);
  });
  if (!extras.complete)
    sheet.paragraph(sheet.root, 'P', content.replacementNote, BODY, sheet.left, sheet.width);
  drawSignature(sheet, content);
  sheet.root.end();
  drawFooters(sheet, content);
}

/** Sections that stay with the signature, so that it never has a page to itself. */
const LAST_TOGETHER = 2;

const closingHeight = (sheet: Sheet, { sections }: CertificateContent): number =>
  sections
    .slice(-LAST_TOGETHER)
    .reduce((sum, section) => sum + sectionHeight(sheet, section), SIGNATURE_HEIGHT);

/** The first page is the customer's: the chart closes it if it has room there, and the rest begins on the next. */
function drawDetails(sheet: Sheet, content: CertificateContent): void {
  const first = sheet.pages === 1 && sheet.y + CHART_HEAD + CHART_HEIGHT.least <= sheet.bottom;
  if (first) drawChart(sheet, content);
  if (sheet.pages === 1) sheet.addPage();
  sheet.need(DETAILS_LEAST);
  sheet.paragraph(sheet.root, 'H2', content.detailsHeading, DETAILS, sheet.left, sheet.width);
  sheet.y += 5;
  drawSpeedTable(sheet, content.rows, DETAILED_LAYOUT);
  drawKey(sheet, content.key);
  if (!first) drawChart(sheet, content);
}

function drawKey(sheet: Sheet, sentences: readonly string[]): void {
  sheet.y += 4;
  for (const sentence of sentences)
    sheet.paragraph(sheet.root, 'P', sentence, SMALL_FAINT, sheet.left, sheet.width);
  sheet.y += 8;
}

const CHART_HEAD = 14;
const CHART_HEIGHT = { least: 115, most: 190, empty: 30 };

function drawChart(sheet: Sheet, content: CertificateContent): void {
  sheet.need(CHART_HEAD + CHART_HEIGHT.least);
  const { title, description } = content.chart;
  sheet.paragraph(sheet.root, 'H2', title, { ...BODY, face: 'bold' }, sheet.left, sheet.width);
  sheet.y += 2;
  const y = sheet.y;
  const room = Math.min(CHART_HEIGHT.most, sheet.bottom - y);
  const height = content.chart.marks.length === 0 ? CHART_HEIGHT.empty : room;
  const primitives = errorChart(content.chart, sheet.width, height);
  sheet.tagged(sheet.root, 'Figure', () => drawPrimitives(sheet, primitives, sheet.left, y), {
    alt: description,
  });
  sheet.y = y + height + 12;
}
