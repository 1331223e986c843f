/** Text as it can be printed. */

/**
 * A frozen deep copy in which every string is composed (NFC: Vietnamese and other accents as one character,
 * which fonts draw best) and free of control characters, of direction marks and of broken surrogate pairs.
 */
export function settled<Content>(content: Content): Content {
  if (typeof content === 'string') return plain(content) as Content;
  if (Array.isArray(content)) return Object.freeze(content.map(settled)) as Content;
  if (typeof content === 'object' && content !== null) {
    const entries = Object.entries(content).map(([key, value]) => [key, settled(value)]);
    return Object.freeze(Object.fromEntries(entries)) as Content;
  }
  return content;
}

const plain = (text: string): string =>
  text
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ')
    .replace(/\p{Cf}/gu, '')
    .replace(/\p{Cs}/gu, '\uFFFD');

/** Letters of scripts written from right to left, which the PDF would set in the wrong order. */
const RIGHT_TO_LEFT =
  /[\p{Script=Hebrew}\p{Script=Arabic}\p{Script=Syriac}\p{Script=Thaana}\p{Script=Nko}\p{Script=Samaritan}\p{Script=Mandaic}\p{Script=Adlam}]/u;

/** Stands for a character that can't be printed: U+25A1, an open square. */
const REPLACEMENT = '□';

export type HasGlyph = (codePoint: number) => boolean;

const isPrintable = (character: string, hasGlyph: HasGlyph) =>
  !RIGHT_TO_LEFT.test(character) && hasGlyph(character.codePointAt(0)!);

/** Each character anywhere in the content that can't be printed, once, in order of appearance. */
export function unprintableIn(content: unknown, hasGlyph: HasGlyph): readonly string[] {
  const found = new Set<string>();
  const look = (value: unknown): void => {
    if (typeof value === 'string') {
      for (const character of value) if (!isPrintable(character, hasGlyph)) found.add(character);
    } else if (typeof value === 'object' && value !== null) {
      Object.values(value).forEach(look);
    }
  };
  look(content);
  return [...found];
}

/** The content with each character that can't be printed replaced by an open square. */
export function replaceUnprintable<Content>(content: Content, hasGlyph: HasGlyph): Content {
  if (typeof content === 'string') {
    return Array.from(content, (character) =>
      isPrintable(character, hasGlyph) ? character : REPLACEMENT,
    ).join('') as Content;
  }
  if (Array.isArray(content)) return content.map((value) => replaceUnprintable(value, hasGlyph)) as Content;
  if (typeof content === 'object' && content !== null) {
    const entries = Object.entries(content).map(([key, value]) => [key, replaceUnprintable(value, hasGlyph)]);
    return Object.fromEntries(entries) as Content;
  }
  return content;
}
