/** The alignment sheet is true to scale: every length in millimetres, every mark at its computed place. */
import { describe, expect, it } from 'vitest';
import { type Element, elements, group, page, table } from './hardware-notes-pages.ts';

describe('alignment sheet', () => {
  const sheet = page('alignment-sheet.svg');
  const number = (element: Element, key: string) => Number(element.attributes[key]);

  it('is one page of A4 in millimetres', () => {
    // ISO 216: A4 is 210 mm by 297 mm.
    const [root] = elements(sheet);
    expect(root!.attributes).toMatchObject({ viewBox: '0 0 210 297', width: '210mm', height: '297mm' });
    expect(sheet).toContain('size: 210mm 297mm; margin: 0');
    // Groups are moved, never scaled or turned.
    for (const [transform] of sheet.matchAll(/transform="[^"]*"/g)) {
      expect(transform).toMatch(/^transform="translate\([\d. ]+\)"$/);
    }
  });

  it('has two scales of 100 mm with a tick at every millimetre', () => {
    for (const [name, along] of [
      ['across', /d="M(\d+) 0v/g],
      ['down', /d="M0 (\d+)h/g],
    ] as const) {
      const scale = group(sheet, `data-scale="${name}"`);
      expect(scale).toContain(`data-length="100" d="M0 0${name === 'down' ? 'V' : 'H'}100"`);
      const ticks = [...scale.matchAll(along)].map(([, at]) => Number(at));
      expect(ticks).toEqual(Array.from({ length: 101 }, (_, i) => i));
    }
  });

  it('has rings of 10 to 100 mm about the cross hairs', () => {
    const rings = elements(group(sheet, 'data-target')).filter(({ attributes }) => attributes['data-ring']);
    expect(rings.map((ring) => number(ring, 'data-ring'))).toEqual([10, 20, 30, 40, 50, 60, 70, 80, 90, 100]);
    for (const ring of rings) {
      expect(number(ring, 'r')).toBe(number(ring, 'data-ring') / 2);
      expect([number(ring, 'cx'), number(ring, 'cy')]).toEqual([0, 0]);
    }
  });

  // ISO 516:2019 and GOST 19821-83, 6.4.2: centre and about ±45 % of the frame.
  const POINTS = [24, 36, 56].map((side) => Number((0.45 * side).toFixed(1)));

  it('has the points at ±45 % of 24, 36 and 56 mm, as the page prints them', () => {
    expect(POINTS).toEqual([10.8, 16.2, 25.2]);
    const printed = table('geometry.md', 'side of the frame');
    expect(printed.map((row) => row['points at'])).toEqual(POINTS.map((point) => `±${point} mm`));
    expect(printed.map((row) => Number.parseFloat(row['side of the frame']!))).toEqual([24, 36, 56]);
    const points = elements(group(sheet, 'data-target')).filter(({ attributes }) => attributes['data-at']);
    const places = points.map((point) => `${number(point, 'cx')} ${number(point, 'cy')}`).sort();
    const expected = POINTS.flatMap((v) => [`${v} 0`, `${-v} 0`, `0 ${v}`, `0 ${-v}`]).sort();
    expect(places).toEqual(expected);
  });

  it('has the frames, centred, on target and cards', () => {
    const frames = elements(sheet).filter(({ attributes }) => attributes['data-frame']);
    expect(frames.map(({ attributes }) => attributes['data-frame'])).toEqual([
      '24x36',
      '56x56',
      '24x36',
      '56x56',
    ]);
    for (const frame of frames) {
      const [high, wide] = frame.attributes['data-frame']!.split('x').map(Number);
      expect([number(frame, 'width'), number(frame, 'height')]).toEqual([wide, high]);
      expect([number(frame, 'x'), number(frame, 'y')]).toEqual([-wide! / 2, -high! / 2]);
    }
  });

  it('has sensor cards as wide as the film, with places at the centre and at ±45 %', () => {
    // Film widths, from memory: 35 mm and 61.5 mm.
    for (const [name, film, side, length] of [
      ['24x36', 35, 36, 66],
      ['56x56', 61.5, 56, 76],
    ] as const) {
      const card = elements(group(sheet, `data-card="${name}"`));
      const outline = card.find(({ attributes }) => attributes['data-outline'])!;
      expect([number(outline, 'width'), number(outline, 'height')]).toEqual([length, film]);
      const places = card.filter(({ attributes }) => attributes['data-sensor']);
      const point = Number((0.45 * side).toFixed(1));
      expect(places.map((place) => number(place, 'data-sensor')).sort((a, b) => a - b)).toEqual([
        -point,
        0,
        point,
      ]);
      for (const place of places) {
        const middle = number(place, 'x') + number(place, 'width') / 2;
        expect(middle).toBeCloseTo(number(place, 'data-sensor'), 6);
        expect(number(place, 'y') + number(place, 'height') / 2).toBeCloseTo(0, 6);
      }
    }
  });
});
