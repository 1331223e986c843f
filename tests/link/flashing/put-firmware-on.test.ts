/** The real boot loaders, built from source, in the emulated chip. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { FlashProgress } from '../../../app/link/flashing/firmware-report.ts';
import { putFirmwareOn } from '../../../app/link/flashing/put-firmware-on.ts';
import { readHexImage } from '../../../app/practice/chip/hex-image.ts';
import { MessageReader } from '../../../firmware-protocol/decode.ts';
import type { Message } from '../../../firmware-protocol/messages.ts';
import { TESTER_HEX } from '../../practice/tester-firmware.ts';
import { otherFirmware } from '../../rig/board-programs.ts';
import { LineDamage } from '../../rig/line-damage.ts';
import { EmulatedBoardPort, type EmulatedPortOptions } from './emulated-board-port.ts';
import { hexText, patternImage } from './images.ts';
import { passTime, VirtualTime } from './virtual-time.ts';

const TESTER = new Uint8Array(readHexImage(TESTER_HEX).buffer);
const TESTER_PAGES = Math.ceil((TESTER.findLastIndex((byte) => byte !== 0xff) + 1) / 128);
const SHORT = patternImage(4 * 128);

function setUp(options: EmulatedPortOptions) {
  const time = new VirtualTime();
  return { time, port: new EmulatedBoardPort(time, options) };
}

/** Opens the port as the page does and listens until the board has introduced itself. */
async function introduction(time: VirtualTime, port: EmulatedBoardPort): Promise<Message | undefined> {
  const reader = new MessageReader();
  const found: Message[] = [];
  await port.open();
  const listening = (async () => {
    while (found.length === 0) {
      const read = await port.read();
      if (read.kind === 'ended') return;
      if (read.kind === 'bytes')
        reader.push(
          read.bytes,
          (message) => found.push(message),
          () => {},
        );
    }
  })();
  const limit = time.sleep(4000).then(() => port.close());
  await passTime(time, port, Promise.race([listening, limit]));
  return found[0];
}

describe.each(['small', 'older'] as const)('with the %s boot loader', (bootLoader) => {
  it('a bare board becomes a tester', async () => {
    const { time, port } = setUp({ bootLoader });
    const before = port.flash.slice();
    const told: FlashProgress[] = [];
    const report = await passTime(
      time,
      port,
      putFirmwareOn(port, TESTER_HEX, { time, onProgress: (progress) => told.push(progress) }),
    );
    const baudRate = bootLoader === 'small' ? 115_200 : 57_600;
    expect(report).toEqual({ chip: 'ATmega328P', baudRate, bytes: 128 * TESTER_PAGES });
    expect(port.flash.subarray(0, report.bytes)).toEqual(TESTER.subarray(0, report.bytes));
    // Nothing else has changed: neither what lies between nor the boot loader.
    expect(port.flash.subarray(report.bytes)).toEqual(before.subarray(report.bytes));
    expect(port.writesToBootLoader).toEqual([]);
    expect(port.isOpen).toBe(false);
    expect([...new Set(told.map(({ step }) => step))]).toEqual([
      'looking for the boot loader',
      'writing',
      'verifying',
      'starting',
    ]);
    expect(told.filter(({ step }) => step === 'verifying').at(-1)).toEqual({
      step: 'verifying',
      done: report.bytes,
      total: report.bytes,
    });
    expect(await introduction(time, port)).toMatchObject({ type: 'hello', protocol: 1 });
  });

  it('a board with another firmware takes ours, and once more, and its EEPROM is not touched', async () => {
    const { time, port } = setUp({ bootLoader, application: readFileSync(otherFirmware(), 'latin1') });
    port.board.eeprom.set([1, 2, 3, 4], 100);
    const eeprom = port.board.eeprom.slice();
    await passTime(time, port, putFirmwareOn(port, hexText(patternImage(256, 7)), { time }));
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
    expect(port.board.eeprom).toEqual(eeprom);
    expect(port.writesToBootLoader).toEqual([]);
  });

  it('a question that comes while the boot loader still blinks waits for it', async () => {
    const { time, port } = setUp({ bootLoader, latency: 80 });
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
  });

  it('a line that damages answers is survived', async () => {
    const line = new LineDamage({ rate: 1 / 250, seed: 3 });
    const { time, port } = setUp({ bootLoader, toPage: (bytes) => line.pass(bytes).bytes });
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
    expect(port.writesToBootLoader).toEqual([]);
  });
});

describe('with the small boot loader', () => {
  it('a line that is too bad is told, and a sound one then helps', async () => {
    let line: LineDamage | null = new LineDamage({ rate: 1 / 3, seed: 5 });
    const { time, port } = setUp({
      bootLoader: 'small',
      toPage: (bytes) => line?.pass(bytes).bytes ?? bytes,
    });
    await expect(passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }))).rejects.toMatchObject({
      name: 'FlashError',
      code: expect.stringMatching(/line damaged|verify failed|no boot loader/),
    });
    expect(port.isOpen).toBe(false);
    line = null;
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
  });

  it.each(['writing', 'verifying'])(
    'the cable pulled while %s is told, and it may be repeated',
    async (step) => {
      const { time, port } = setUp({ bootLoader: 'small' });
      const attempt = putFirmwareOn(port, hexText(SHORT), {
        time,
        onProgress: (progress) => {
          if (progress.step === step && progress.done >= 256 && !port.pulled) port.pull();
        },
      });
      await expect(passTime(time, port, attempt)).rejects.toMatchObject({ code: 'gone' });
      expect(port.isOpen).toBe(false);
      port.plugIn();
      await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
      expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
    },
  );

  it('a port without modem lines is reset by being opened', async () => {
    const { time, port } = setUp({ bootLoader: 'small', withoutPulse: true });
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(0, SHORT.length)).toEqual(SHORT);
  });

  it('a board whose lock bits are open has its boot loader afterwards, too', async () => {
    const { time, port } = setUp({ bootLoader: 'small', locked: false });
    const before = port.flash.slice();
    await passTime(time, port, putFirmwareOn(port, hexText(SHORT), { time }));
    expect(port.flash.subarray(port.bootLoaderStart)).toEqual(before.subarray(port.bootLoaderStart));
  });
});
