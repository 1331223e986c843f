import * as v from 'valibot';
import { name, positiveCount } from './field-schemas.ts';
import type { Picture } from './job.ts';

/** 4 MB: far more than a picture needs that was scaled down, and little enough for a file of many jobs. */
export const LARGEST_PICTURE = 4_000_000;

/** Bytes with a buffer of their own: a view would be stored with the whole buffer that it looks into. */
const imageBytes = v.pipe(
  v.instance(Uint8Array),
  v.check((bytes) => bytes.length > 0, 'the picture is empty'),
  v.check(
    (bytes) => bytes.length <= LARGEST_PICTURE,
    ({ input }) =>
      `the picture has ${(input.length / 1e6).toFixed(1)} MB; ${LARGEST_PICTURE / 1e6} MB is the most`,
  ),
  v.transform((bytes): Uint8Array => (bytes.byteLength === bytes.buffer.byteLength ? bytes : bytes.slice())),
);

const image = {
  type: v.picklist(['image/jpeg', 'image/png']),
  width: positiveCount,
  height: positiveCount,
  bytes: imageBytes,
};

export const logoSchema = v.strictObject(image);

export const pictureSchema = v.strictObject({ id: name, jobId: name, ...image }) satisfies v.GenericSchema<
  unknown,
  Picture
>;
