/** One seeded attempt on a line that does what it likes, judged by what the board really holds afterwards. */
import type { FlashError } from '../../../app/link/flashing/firmware-report.ts';
import { putFirmwareOn } from '../../../app/link/flashing/put-firmware-on.ts';
import { DAMAGE_KINDS, LineDamage } from '../../rig/line-damage.ts';
import { seededRandom } from '../../seeded-random.ts';
import { hexText } from './images.ts';
import { ModelBootLoaderPort, type ModelOptions } from './model-boot-loader-port.ts';
import { passTime, VirtualTime } from './virtual-time.ts';

type Random = () => number;
type Trouble = Pick<ModelOptions, 'toPage' | 'toBoard'>;

const below = (random: Random, limit: number) => Math.floor(random() * limit);
/** From rarely to nearly always, each order of magnitude as likely. */
const someRate = (random: Random) => 10 ** (-3.5 * random()) * 0.6;
const randomBytes = (random: Random, length: number) => Uint8Array.from({ length }, () => below(random, 256));

/** What may be the matter with a line. Those that touch only answers leave the board sound and obedient. */
const TROUBLES = {
  'answers damaged': (random: Random): Trouble => {
    const line = new LineDamage({
      rate: someRate(random),
      kinds: DAMAGE_KINDS.filter(() => random() < 0.6).concat('flipped'),
      seed: below(random, 2 ** 31),
    });
    return { toPage: (bytes) => [{ bytes: line.pass(bytes).bytes, after: 2 }] };
  },
  'answers lost, late, twice or in pieces': (random: Random): Trouble => {
    const rate = someRate(random);
    let before: Uint8Array = new Uint8Array(0);
    return {
      toPage: (bytes) => {
        const old = before;
        before = bytes;
        if (random() > rate) return [{ bytes, after: 2 }];
        const at = below(random, bytes.length + 1);
        return [
          [],
          [{ bytes, after: 2 + below(random, 2500) }],
          [bytes, bytes].map((again, i) => ({ bytes: again, after: 2 + i * below(random, 1200) })),
          [bytes.subarray(0, at), bytes.subarray(at)].map((piece, i) => ({
            bytes: piece,
            after: 2 + i * below(random, 900),
          })),
          [{ bytes: old, after: 2 }],
        ][below(random, 5)]!;
      },
    };
  },
  'answers replaced by others': (random: Random): Trouble => {
    const rate = someRate(random);
    return {
      toPage: (bytes) => {
        if (random() > rate) return [{ bytes, after: 2 }];
        const like = bytes.slice();
        // Right at both ends, so that it passes for an answer; what is between is anything.
        for (let i = 1; i < like.length - 1; i++) like[i] = below(random, 256);
        const other = [like, Uint8Array.of(0x14, 0x10), randomBytes(random, bytes.length)];
        return [{ bytes: other[below(random, 3)]!, after: 2 }];
      },
    };
  },
  'nothing but noise': (random: Random): Trouble => ({
    toPage: (bytes) => {
      const noise = randomBytes(random, below(random, 2 * bytes.length + 4));
      const often = [0x14, 0x10, 0x1e, 0x95, 0x0f];
      return [{ bytes: noise.map((byte) => (random() < 0.5 ? often[byte % 5]! : byte)), after: 1 }];
    },
  }),
  'commands damaged, too': (random: Random): Trouble => {
    const rate = someRate(random) / 4;
    const out = new LineDamage({ rate, seed: below(random, 2 ** 31) });
    const back = new LineDamage({ rate, seed: below(random, 2 ** 31) });
    return {
      toBoard: (bytes) => out.pass(bytes).bytes,
      toPage: (bytes) => [{ bytes: back.pass(bytes).bytes, after: 2 }],
    };
  },
} satisfies Record<string, (random: Random) => Trouble>;

type TroubleName = keyof typeof TROUBLES;
export const TROUBLE_NAMES = Object.keys(TROUBLES) as TroubleName[];

export interface FuzzOutcome {
  /** 'done', or how it failed. */
  readonly ended: 'done' | FlashError['code'];
  /** Pages of the boot loader that the board was told to write. */
  readonly bootLoaderWrites: number;
  /** Addresses at or above the boot loader that the page itself asked for: there must be none. */
  readonly addressesAbove: number;
}

/** An image of one to six pages, some of which may be alike, and some empty. */
function someImage(random: Random): Uint8Array {
  const kinds = [randomBytes(random, 128), new Uint8Array(128).fill(0xff), new Uint8Array(128).fill(0x14)];
  const pages = Array.from({ length: below(random, 6) }, () =>
    random() < 0.5 ? kinds[below(random, 3)]! : randomBytes(random, 128),
  );
  return new Uint8Array(Buffer.concat([...pages, randomBytes(random, 126), Uint8Array.of(1, 2)]));
}

/**
 * Puts an image on a board through a line with this trouble, pulled or given up now and then; and then, on a sound
 * line, once more.
 * @throws Error when success was claimed and the board holds something else, when it hangs, when a failure has no
 *   sentence, when the port stays open, or when the second attempt fails.
 */
export async function fuzzFlashing(trouble: TroubleName, seed: number): Promise<FuzzOutcome> {
  const random = seededRandom(seed);
  const time = new VirtualTime();
  const image = someImage(random);
  const made = TROUBLES[trouble](random);
  let isSound = false;
  const port = new ModelBootLoaderPort(time, {
    flash: random() < 0.5 ? randomBytes(random, 0x8000) : new Uint8Array(0x8000).fill(0xff),
    ...(random() < 0.3 && { baudRate: 57_600, bootLoaderStart: 0x7800 }),
    withoutPulse: random() < 0.2,
    toPage: (bytes) => (!isSound && made.toPage?.(bytes)) || [{ bytes, after: 2 }],
    toBoard: (bytes) => (!isSound && made.toBoard?.(bytes)) || bytes,
  });
  const bootLoader = port.flash.slice(port.start);
  const control = new AbortController();
  const event = random();
  const interrupt = event < 0.1 ? () => port.pull() : event < 0.2 ? () => control.abort() : () => {};
  const callOff = time.after(below(random, 4000), interrupt);

  const attempt = putFirmwareOn(port, hexText(image), { time, signal: control.signal });
  const ended = await passTime(time, port, attempt).then(
    () => 'done' as const,
    (error: FlashError) => {
      if (error.name !== 'FlashError' || !/^[A-Z].*\.$/s.test(error.message)) throw error;
      return error.code;
    },
  );
  callOff();
  const holds = () => Buffer.from(port.flash.subarray(0, image.length)).equals(image);
  if (ended === 'done' && !holds()) throw new Error('It claims success, and the board holds something else');
  if (port.isOpen) throw new Error('The port stays open');

  port.plugIn();
  isSound = true;
  await passTime(time, port, putFirmwareOn(port, hexText(image), { time }));
  if (!holds()) throw new Error('The second attempt claims success, and the board holds something else');
  if (!Buffer.from(port.flash.subarray(port.start)).equals(bootLoader))
    throw new Error('The boot loader was overwritten');
  const addresses = port.written.filter(([command]) => command === 0x55);
  return {
    ended,
    bootLoaderWrites: port.writesToBootLoader.length,
    addressesAbove: addresses.filter(([, low, high]) => 2 * (low! | (high! << 8)) >= port.start).length,
  };
}
