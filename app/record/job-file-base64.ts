/** Base64 after RFC 4648, section 4: with padding, without line breaks. */

/** As many arguments as a call certainly takes. */
const PIECE = 8190;

export function base64(bytes: Uint8Array): string {
  const pieces: string[] = [];
  for (let from = 0; from < bytes.length; from += PIECE) {
    pieces.push(String.fromCharCode(...bytes.subarray(from, from + PIECE)));
  }
  return btoa(pieces.join(''));
}

/** Null for anything that base64() would not have written. */
export function bytesOf(text: string): Uint8Array<ArrayBuffer> | null {
  if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return null;
  const characters = decoded(text);
  if (characters === null) return null;
  const bytes = new Uint8Array(characters.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = characters.charCodeAt(i);
  // The bits that padding leaves over must be zero, or two texts would stand for the same bytes.
  return text.endsWith('=') && !text.endsWith(base64(bytes.subarray(-(bytes.length % 3)))) ? null : bytes;
}

function decoded(text: string): string | null {
  try {
    return atob(text);
  } catch {
    return null;
  }
}
