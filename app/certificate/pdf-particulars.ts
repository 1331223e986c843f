/** What a paper is about, in groups of fields: camera, customer, set-up. */
import type { Field, FieldGroup } from './certificate.ts';
import { BLOCK_GAP, drawSection, HEADING } from './pdf-section.ts';
import { FAINT, type Sheet, SMALL } from './pdf-sheet.ts';

const LABEL_WIDTH = 46;
const GROUP_SHARES = [0.36, 0.38, 0.26];
const GROUP_GAP = 14;

/** Groups of fields side by side; below each other where one of them is too long for that. */
export function drawParticulars(sheet: Sheet, groups: readonly FieldGroup[]): void {
  const room = sheet.width - GROUP_GAP * (groups.length - 1);
  const widths = groups.map((_, index) => (GROUP_SHARES[index] ?? 1 / groups.length) * room);
  const tallest = Math.max(...groups.map((group, index) => groupHeight(sheet, group, widths[index]!)));
  if (tallest > (sheet.bottom - sheet.top) / 3) {
    for (const group of groups) drawLongGroup(sheet, group);
    return;
  }
  const top = sheet.y + 3;
  let x = sheet.left;
  groups.forEach((group, index) => {
    drawGroup(sheet, group, x, top, widths[index]!);
    x += widths[index]! + GROUP_GAP;
  });
  sheet.y = top + tallest + BLOCK_GAP;
}

const fieldText = ({ lines }: Field) => lines.join('\n');

const fieldHeight = (sheet: Sheet, field: Field, width: number) =>
  Math.max(
    sheet.heightOf(field.label, SMALL, LABEL_WIDTH),
    sheet.heightOf(fieldText(field), SMALL, width - LABEL_WIDTH),
  ) + 1;

const groupHeight = (sheet: Sheet, group: FieldGroup, width: number) =>
  group.fields.reduce(
    (sum, field) => sum + fieldHeight(sheet, field, width),
    sheet.heightOf(group.heading, HEADING, width) + 1.5,
  );

function drawGroup(sheet: Sheet, group: FieldGroup, x: number, top: number, width: number): void {
  sheet.rule(x, top - 3, width);
  sheet.tagged(sheet.root, 'H2', () => sheet.write(group.heading, HEADING, x, top, width));
  let y = top + sheet.heightOf(group.heading, HEADING, width) + 1.5;
  for (const field of group.fields) {
    sheet.tagged(sheet.root, 'P', () => {
      // The space keeps label and value apart for whoever has them read out.
      sheet.writeLine(`${field.label} `, { ...SMALL, colour: FAINT }, x, y);
      sheet.write(fieldText(field), SMALL, x + LABEL_WIDTH, y, width - LABEL_WIDTH);
    });
    y += fieldHeight(sheet, field, width);
  }
}

const drawLongGroup = (sheet: Sheet, { heading, fields }: FieldGroup): void =>
  drawSection(sheet, {
    heading,
    paragraphs: fields.map((field) => `${field.label}: ${fieldText(field)}`),
    items: [],
  });
