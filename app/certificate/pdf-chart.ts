import { type ChartPrimitive, PAPER_TONES } from './chart-primitives.ts';
import type { Sheet } from './pdf-sheet.ts';

/** Draws the shapes of a chart whose origin is at x, y. */
export function drawPrimitives(
  sheet: Sheet,
  primitives: readonly ChartPrimitive[],
  x: number,
  y: number,
): void {
  sheet.doc.save();
  sheet.doc.translate(x, y);
  for (const primitive of primitives) drawPrimitive(sheet, primitive);
  sheet.doc.restore();
}

function drawPrimitive({ doc }: Sheet, primitive: ChartPrimitive): void {
  const colour = PAPER_TONES[primitive.tone];
  switch (primitive.kind) {
    case 'line': {
      const [first, ...others] = primitive.points;
      if (first === undefined) return;
      doc.lineWidth(primitive.width).moveTo(...first);
      for (const point of others) doc.lineTo(...point);
      if (primitive.dash === null) doc.undash();
      else doc.dash(primitive.dash[0], { space: primitive.dash[1] });
      doc.stroke(colour).undash();
      return;
    }
    case 'rect':
      doc.rect(primitive.x, primitive.y, primitive.width, primitive.height).fill(colour);
      return;
    case 'marker': {
      const { x, y, size } = primitive;
      doc.lineWidth(1);
      if (primitive.shape === 'ring') doc.circle(x, y, size).fillAndStroke('#ffffff', colour);
      else if (primitive.shape === 'square') doc.rect(x - size, y - size, 2 * size, 2 * size).fill(colour);
      else if (primitive.shape === 'triangle')
        doc.polygon([x, y - size], [x + size, y + size], [x - size, y + size]).fill(colour);
      else if (primitive.shape === 'diamond')
        doc
          .polygon([x, y - 1.3 * size], [x + 1.3 * size, y], [x, y + 1.3 * size], [x - 1.3 * size, y])
          .fill(colour);
      else {
        doc.moveTo(x - size, y - size).lineTo(x + size, y + size);
        doc
          .moveTo(x - size, y + size)
          .lineTo(x + size, y - size)
          .stroke(colour);
      }
      return;
    }
    case 'text': {
      doc.font('regular').fontSize(primitive.size).fillColor(colour);
      const width = doc.widthOfString(primitive.text);
      const shift = primitive.anchor === 'start' ? 0 : primitive.anchor === 'middle' ? width / 2 : width;
      doc.text(primitive.text, primitive.x - shift, primitive.y, {
        lineBreak: false,
        baseline: 'alphabetic',
      });
      return;
    }
  }
}
