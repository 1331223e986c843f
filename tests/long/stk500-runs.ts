import { putFirmwareOn } from '../../app/link/flashing/put-firmware-on.ts';
import { EmulatedBoardPort } from '../link/flashing/emulated-board-port.ts';
import { fuzzFlashing, TROUBLE_NAMES } from '../link/flashing/flashing-fuzz.ts';
import { hexText, patternImage } from '../link/flashing/images.ts';
import { passTime, VirtualTime } from '../link/flashing/virtual-time.ts';
import { LineDamage } from '../rig/line-damage.ts';
import { seededRandom } from '../seeded-random.ts';

/** One run in so many is made with a real boot loader in the emulated chip. */
const MODELS_FOR_ONE_CHIP = 200;

/**
 * Firmware put on through lines that do what they like, by the model of a boot loader and, one run in 200, by the real
 * ones in the emulated chip. It may fail with a sentence; it may not hang, nor claim success while the board's memory
 * is not the image, nor ask for the boot loader's pages; and on a sound line it must succeed afterwards.
 */
export async function stk500Runs(runs: number): Promise<boolean> {
  const models = await modelRuns(runs);
  const chips = await chipRuns(Math.max(4, Math.round(runs / MODELS_FOR_ONE_CHIP)));
  return models && chips;
}

async function modelRuns(runs: number): Promise<boolean> {
  let sound = true;
  for (const trouble of TROUBLE_NAMES) {
    const counts: Record<string, number> = {};
    let refused = 0;
    for (let run = 0; run < Math.ceil(runs / TROUBLE_NAMES.length); run++) {
      try {
        const { ended, bootLoaderWrites, addressesAbove } = await fuzzFlashing(trouble, run);
        counts[ended] = (counts[ended] ?? 0) + 1;
        refused += bootLoaderWrites;
        if (addressesAbove > 0 || (bootLoaderWrites > 0 && trouble !== 'commands damaged, too'))
          throw new Error('It asks for the boot loader’s pages');
      } catch (error) {
        sound = false;
        console.log(`  ${trouble}, seed ${run}: ${(error as Error).message}`);
      }
    }
    console.log(
      `  ${trouble}: ${inWords(counts)}; ${refused} writes to the boot loader, which its lock bits refuse`,
    );
  }
  return sound;
}

async function chipRuns(runs: number): Promise<boolean> {
  let sound = true;
  const counts: Record<string, number> = {};
  let refused = 0;
  for (let run = 0; run < runs; run++) {
    const random = seededRandom(run);
    const time = new VirtualTime();
    const rate = 10 ** (-3 * random()) * 0.3;
    let lines: LineDamage[] = [1, 2].map((n) => new LineDamage({ rate: rate / n ** 2, seed: 2 * run + n }));
    const commandsToo = run % 3 === 0;
    const port = new EmulatedBoardPort(time, {
      bootLoader: run % 2 === 0 ? 'small' : 'older',
      toPage: (bytes) => lines[0]?.pass(bytes).bytes ?? bytes,
      toBoard: (bytes) => (commandsToo ? (lines[1]?.pass(bytes).bytes ?? bytes) : bytes),
    });
    const image = patternImage(128 * (1 + (run % 5)), run);
    const bootLoader = port.flash.slice(port.bootLoaderStart);
    const attempt = () => passTime(time, port, putFirmwareOn(port, hexText(image), { time }));
    const holds = () => Buffer.from(port.flash.subarray(0, image.length)).equals(image);
    try {
      const ended = await attempt().then(
        () => 'done',
        (error) => error.code as string,
      );
      if (ended === 'done' && !holds())
        throw new Error('It claims success, and the chip holds something else');
      if (!commandsToo && port.writesToBootLoader.length > 0)
        throw new Error('It asks for the boot loader’s pages');
      lines = [];
      await attempt();
      if (!holds()) throw new Error('The second attempt claims success, and the chip holds something else');
      if (!Buffer.from(port.flash.subarray(port.bootLoaderStart)).equals(bootLoader))
        throw new Error('The boot loader was overwritten');
      counts[ended] = (counts[ended] ?? 0) + 1;
      refused += port.writesToBootLoader.length;
    } catch (error) {
      sound = false;
      console.log(`  emulated chip, seed ${run}: ${(error as Error).message}`);
    }
  }
  console.log(
    `  ${runs} in the emulated chip: ${inWords(counts)}; ${refused} writes to the boot loader refused`,
  );
  return sound;
}

const inWords = (counts: Readonly<Record<string, number>>) =>
  Object.entries(counts)
    .map(([ended, count]) => `${count} ${ended}`)
    .join(', ');
