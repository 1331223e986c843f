/** A picture for the tests: a plain field of one colour, as a PNG made here. */
import { crc32, deflateSync } from 'node:zlib';
import type { Picture } from '../../app/record/job.ts';

/** Length, name, data and check sum (PNG specification, 5.3). */
function chunk(name: string, data: Uint8Array): Buffer {
  const named = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const framed = Buffer.alloc(named.length + 8);
  framed.writeUInt32BE(data.length, 0);
  named.copy(framed, 4);
  framed.writeUInt32BE(crc32(named), framed.length - 4);
  return framed;
}

/** 8-bit RGB without interlacing. */
function png(width: number, height: number, colour: readonly [number, number, number]): Uint8Array {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 2, 0, 0, 0], 8);
  const line = Buffer.from([0, ...Array.from({ length: width }, () => colour).flat()]);
  const lines = Buffer.concat(Array.from({ length: height }, () => line));
  const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return new Uint8Array(
    Buffer.concat([
      signature,
      chunk('IHDR', header),
      chunk('IDAT', deflateSync(lines)),
      chunk('IEND', new Uint8Array()),
    ]),
  );
}

export function inventedPicture(id: string, changes: Partial<Picture> = {}): Picture {
  const { width = 80, height = 60 } = changes;
  return {
    id,
    jobId: 'job-1',
    type: 'image/png',
    width,
    height,
    bytes: png(width, height, [90, 120, 70]),
    ...changes,
  };
}
