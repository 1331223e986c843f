/** Whether a logo can be drawn, told beforehand: the PDF library finds a fault only while it writes, and stops. */

import type { Logo, Picture } from '../record/job.ts';

/** False for bytes that are no whole PNG or JPEG. */
export async function readableLogo({ type, bytes }: Pick<Logo, 'type' | 'bytes'>): Promise<boolean> {
  try {
    const sound = type === 'image/png' ? await soundPng(bytes) : soundJpeg(bytes);
    if (!sound) return false;
    // Where the browser can decode it, it must.
    if (typeof createImageBitmap === 'function')
      (await createImageBitmap(new Blob([bytes.slice()], { type }))).close();
    return true;
  } catch {
    return false;
  }
}

/** Those of the pictures that can be drawn, by id. */
export async function readablePictures(pictures: readonly Picture[]): Promise<ReadonlyMap<string, Picture>> {
  const readable = new Map<string, Picture>();
  for (const picture of pictures) if (await readableLogo(picture)) readable.set(picture.id, picture);
  return readable;
}

const PNG_SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];

/** Bit of the colour type that tells of an alpha channel (PNG specification, 11.2.1). */
const ALPHA = 4;

/**
 * Chunks from signature to IEND, and image data that can be unpacked (PNG specification, 5.2 and 10). One with
 * transparency or interlaced is refused: to unpack it the PDF library starts a worker of its own, which the
 * page's policy forbids, and then waits for ever. The page's own pictures have neither.
 */
async function soundPng(bytes: Uint8Array): Promise<boolean> {
  if (!PNG_SIGNATURE.every((byte, index) => bytes[index] === byte)) return false;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const data: Uint8Array[] = [];
  for (let at = PNG_SIGNATURE.length; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    const name = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (at + 12 + length > bytes.length) return false;
    if (name === 'IHDR' && ((bytes[at + 17]! & ALPHA) !== 0 || bytes[at + 20] !== 0)) return false;
    if (name === 'tRNS') return false;
    if (name === 'IDAT') data.push(bytes.subarray(at + 8, at + 8 + length));
    if (name === 'IEND') return data.length > 0 && (await unpacks(data));
    at += 12 + length;
  }
  return false;
}

/** Reads to the end of the stream, whose check sum fails if a byte is wrong. */
async function unpacks(parts: readonly Uint8Array[]): Promise<boolean> {
  const packed = new Blob(parts.map((part) => part.slice()));
  const stream = packed.stream().pipeThrough(new DecompressionStream('deflate'));
  const unpacked = await new Response(stream).arrayBuffer();
  return unpacked.byteLength > 0;
}

/** Begins with SOI and ends with EOI (ISO/IEC 10918-1, table B.1). */
function soundJpeg(bytes: Uint8Array): boolean {
  const last = bytes.findLastIndex((byte) => byte !== 0);
  return bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[last - 1] === 0xff && bytes[last] === 0xd9;
}
