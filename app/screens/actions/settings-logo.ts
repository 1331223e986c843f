/** Takes in a picture file as the workshop's logo. */
import type { Logo } from '../../record/job.ts';

/** Pixels: what a letterhead shows at 300 to the inch, some 100 by 34 mm. */
const WIDEST = 1200;
const HIGHEST = 400;
/** Of the file that is chosen; a larger one is surely no logo. */
const MOST_BYTES = 30 * 1024 * 1024;

export type ReadLogo =
  | { readonly ok: true; readonly logo: Logo }
  | { readonly ok: false; readonly problem: string };

/** Scales it down where it is larger than papers need. Written anew, it carries nothing along but its pixels. */
export async function readLogo(file: File): Promise<ReadLogo> {
  const { type } = file;
  if (type !== 'image/png' && type !== 'image/jpeg')
    return failed(`“${file.name}” is neither PNG nor JPEG. Save it as one of these first.`);
  if (file.size > MOST_BYTES) return failed(`“${file.name}” is larger than 30 MB. Make it smaller first.`);
  let picture: ImageBitmap;
  try {
    picture = await createImageBitmap(file);
  } catch {
    return failed(`“${file.name}” can’t be read as a picture. It may be damaged.`);
  }
  try {
    const scale = Math.min(1, WIDEST / picture.width, HIGHEST / picture.height);
    const width = Math.max(1, Math.round(picture.width * scale));
    const height = Math.max(1, Math.round(picture.height * scale));
    return { ok: true, logo: await onPaper(picture, width, height) };
  } finally {
    picture.close();
  }
}

const failed = (problem: string): ReadLogo => ({ ok: false, problem });

/**
 * On white, as it will be printed, and as a JPEG of the best quality, whose colours are not blurred: the browser's
 * PNG always has a channel for transparency. To unpack one the PDF library starts a worker from a blob, which the
 * page's Content-Security-Policy forbids, and then waits for ever.
 */
async function onPaper(picture: ImageBitmap, width: number, height: number): Promise<Logo> {
  const canvas = new OffscreenCanvas(width, height);
  const drawing = canvas.getContext('2d', { alpha: false })!;
  drawing.fillStyle = '#fff';
  drawing.fillRect(0, 0, width, height);
  drawing.imageSmoothingQuality = 'high';
  drawing.drawImage(picture, 0, 0, width, height);
  const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 1 });
  return { type: 'image/jpeg', width, height, bytes: new Uint8Array(await blob.arrayBuffer()) };
}
