/** Fixed-length text fields: printable ASCII, then zeros up to the end of the field. */

const isPrintable = (byte: number) => byte >= 0x20 && byte <= 0x7e;

/** Text of the field of `size` bytes at `at`, or null if it holds anything but printable ASCII and zero padding. */
export function readText(bytes: Uint8Array, at: number, size: number): string | null {
  let text = '';
  let index = at;
  for (; index < at + size && bytes[index] !== 0; index++) {
    if (!isPrintable(bytes[index]!)) return null;
    text += String.fromCharCode(bytes[index]!);
  }
  for (; index < at + size; index++) if (bytes[index] !== 0) return null;
  return text;
}

/** Writes `text` into the field. Throws RangeError if it is too long or holds anything but printable ASCII. */
export function writeText(bytes: Uint8Array, at: number, size: number, text: string): void {
  if (text.length > size) throw new RangeError(`"${text}" is longer than ${size} characters`);
  for (let index = 0; index < text.length; index++) {
    const code = text.charCodeAt(index);
    if (!isPrintable(code)) throw new RangeError(`"${text}" holds a character that is not printable ASCII`);
    bytes[at + index] = code;
  }
}
