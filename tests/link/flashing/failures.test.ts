/** Every way in which it may end otherwise than well, at the model of a boot loader. */
import { describe, expect, it } from 'vitest';
import type { FlashError } from '../../../app/link/flashing/firmware-report.ts';
import { putFirmwareOn } from '../../../app/link/flashing/put-firmware-on.ts';
import { PortError } from '../../../app/link/port.ts';
import { hexText, patternImage } from './images.ts';
import { ModelBootLoaderPort, type ModelOptions } from './model-boot-loader-port.ts';
import { passTime, VirtualTime } from './virtual-time.ts';

const IMAGE = patternImage(4 * 128);

function setUp(options: ModelOptions = {}) {
  const time = new VirtualTime();
  const port = new ModelBootLoaderPort(time, options);
  const flash = (image: Uint8Array = IMAGE, more: { signal?: AbortSignal; onProgress?: () => void } = {}) =>
    passTime(time, port, putFirmwareOn(port, hexText(image), { time, ...more }));
  return { time, port, flash };
}

async function failureOf(attempt: Promise<unknown>): Promise<FlashError> {
  const error = await attempt.then(
    () => new Error('It succeeded'),
    (failure) => failure,
  );
  expect(error).toMatchObject({ name: 'FlashError' });
  expect(error.message).toMatch(/^[A-Z].*\.$/s); // a sentence
  return error;
}

describe('the image', () => {
  it('may fill everything below the boot loader, and no byte more', async () => {
    const { port, flash } = setUp();
    const largest = patternImage(0x7e00);
    expect((await flash(largest)).bytes).toBe(0x7e00);
    expect(port.flash.subarray(0, 0x7e00)).toEqual(largest);
    expect((await failureOf(flash(patternImage(0x7e01)))).code).toBe('image does not fit');
    expect(port.writesToBootLoader).toEqual([]);
  });

  it('may not reach as far with the older boot loader, and nothing is written then', async () => {
    const { port, flash } = setUp({ baudRate: 57_600, bootLoaderStart: 0x7800 });
    expect((await failureOf(flash(patternImage(0x7801)))).code).toBe('image does not fit');
    expect(port.pagesWritten).toBe(0);
    expect((await flash(patternImage(0x7800))).baudRate).toBe(57_600);
    expect(port.writesToBootLoader).toEqual([]);
  });

  it('is refused when it is damaged, cut short or empty, before the port is opened', async () => {
    const sound = hexText(IMAGE);
    for (const damaged of [sound.replace('0', '1'), sound.slice(0, 300), ':00000001FF\n', '', 'not at all']) {
      const { time, port } = setUp();
      const failure = await failureOf(passTime(time, port, putFirmwareOn(port, damaged, { time })));
      expect(failure.code).toBe('image does not fit');
      expect(port.openings).toEqual([]);
    }
  });
});

describe('the board', () => {
  it('of another chip is left alone', async () => {
    const { port, flash } = setUp({ signature: [0x1e, 0x94, 0x06] });
    const failure = await failureOf(flash());
    expect(failure.code).toBe('other chip');
    expect(failure.message).toContain('1E 94 06');
    expect(port.pagesWritten).toBe(0);
    expect(port.isOpen).toBe(false);
  });

  it.each([
    ['ATmega328P', 0x0f],
    ['ATmega328', 0x14],
    ['ATmega328PB', 0x16],
  ])('may be an %s', async (chip, last) => {
    const { flash } = setUp({ signature: [0x1e, 0x95, last] });
    expect((await flash()).chip).toBe(chip);
  });

  it('that never answers is tried at both speeds, twice', async () => {
    const { port, flash } = setUp({ silent: true });
    expect((await failureOf(flash())).code).toBe('no boot loader');
    expect(port.openings).toEqual([115_200, 57_600, 115_200, 57_600]);
    expect(port.isOpen).toBe(false);
  });

  it('that talks all the time and is no boot loader is not taken for one', async () => {
    const time = new VirtualTime();
    const port = new ModelBootLoaderPort(time, { silent: true });
    let state = 1;
    const babble = () => {
      const bytes = Uint8Array.from({ length: 20 }, () => {
        state = (state * 1_103_515_245 + 12_345) & 0x7fffffff;
        return [0x14, 0x10, state >> 8, 0x1e][(state >> 16) & 3]!;
      });
      port.say(bytes);
      time.after(2, babble);
    };
    babble();
    const failure = await failureOf(passTime(time, port, putFirmwareOn(port, hexText(IMAGE), { time })));
    expect(failure.code).toBe('no boot loader');
  });

  it('that sends back what it hears is not taken for one', async () => {
    const time = new VirtualTime();
    const port = new ModelBootLoaderPort(time, {
      silent: true,
      toBoard: (bytes) => {
        port.say(bytes);
        return bytes;
      },
    });
    const failure = await failureOf(passTime(time, port, putFirmwareOn(port, hexText(IMAGE), { time })));
    expect(failure.code).toBe('no boot loader');
  });

  it('with a worn-out cell is found out', async () => {
    const { flash } = setUp({ stuck: new Map([[IMAGE.findIndex((byte) => (byte & 4) !== 0), 4]]) });
    const failure = await failureOf(flash());
    expect(failure.code).toBe('verify failed');
    expect(failure.message).toContain('1 of 4 places');
  });
});

describe('the line', () => {
  it('that loses one answer in five is survived', async () => {
    let answers = 0;
    const { port, flash } = setUp({
      toPage: (bytes) => (answers++ % 5 === 3 ? [] : [{ bytes, after: 2 }]),
    });
    await flash();
    expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
  });

  it('that puts a byte before one answer in three is survived', async () => {
    let answers = 0;
    const { port, flash } = setUp({
      toPage: (bytes) => [
        { bytes: answers++ % 3 === 2 ? Uint8Array.of(0x14) : new Uint8Array(0), after: 1 },
        { bytes, after: 2 },
      ],
    });
    await flash();
    expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
  });

  it('whose faults are told, too, goes on', async () => {
    let answers = 0;
    const { port, flash } = setUp({
      toPage: (bytes) => {
        if (answers++ % 4 === 2) port.fault('FramingError');
        return [{ bytes, after: 2 }];
      },
    });
    await flash();
    expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
  });

  it('that brings answers late, after they were given up, does not mix them up', async () => {
    let answers = 0;
    const { port, flash } = setUp({
      toPage: (bytes) => [{ bytes, after: answers++ % 7 === 5 ? 900 : 2 }],
    });
    await flash();
    expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
  });

  it('that loses bytes on the way to the board is survived', async () => {
    let commands = 0;
    const { port, flash } = setUp({
      toBoard: (bytes) => (commands++ % 11 === 8 ? bytes.subarray(1) : bytes),
    });
    await flash();
    expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
  });

  it('that damages everything once the boot loader is found is told', async () => {
    let answers = 0;
    const { port, flash } = setUp({
      toPage: (bytes) => [{ bytes: answers++ < 6 ? bytes : bytes.map((byte) => byte ^ 0x55), after: 2 }],
    });
    expect((await failureOf(flash())).code).toBe('line damaged');
    expect(port.isOpen).toBe(false);
  });
});

describe('the port', () => {
  it('that can’t be opened says why', async () => {
    const { port, flash } = setUp();
    port.open = () => Promise.reject(new PortError('busy', 'Another tab has it.'));
    const failure = await failureOf(flash());
    expect(failure).toMatchObject({ code: 'could not open', message: 'Another tab has it.' });
  });

  it('that never finishes opening is given up, and closed should it open after all', async () => {
    const { time, port, flash } = setUp();
    let opened = () => {};
    port.open = () =>
      new Promise((resolve) => {
        opened = resolve;
      });
    let closed = 0;
    port.close = async () => void closed++;
    expect((await failureOf(flash())).code).toBe('could not open');
    opened();
    await passTime(time, port, time.sleep(1));
    expect(closed).toBe(1);
  });

  it('that never finishes a write is given up', async () => {
    const { port, flash } = setUp();
    const write = port.write.bind(port);
    let writes = 0;
    port.write = (bytes) => (writes++ < 7 ? write(bytes) : new Promise(() => {}));
    expect((await failureOf(flash())).code).toBe('gone');
    expect(port.isOpen).toBe(false);
  });

  it('pulled out in any moment is told, and it may be repeated', async () => {
    for (let at = 0; at < 2000; at += 37) {
      const { time, port, flash } = setUp();
      const callOff = time.after(at, () => port.pull());
      const outcome = await flash().catch((error) => error);
      callOff();
      expect(['gone', 'could not open', undefined]).toContain(outcome.code);
      expect(port.isOpen).toBe(false);
      port.plugIn();
      await flash();
      expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
    }
  });
});

describe('the user', () => {
  it('may give up in any moment, and begin again', async () => {
    let givenUp = 0;
    for (let at = 0; at < 2000; at += 37) {
      const { time, port, flash } = setUp();
      const control = new AbortController();
      const callOff = time.after(at, () => control.abort());
      const outcome = await flash(IMAGE, { signal: control.signal }).catch((error) => error);
      callOff();
      if (outcome.code) {
        expect(outcome.code).toBe('given up');
        givenUp++;
      }
      expect(port.isOpen).toBe(false);
      await flash();
      expect(port.flash.subarray(0, IMAGE.length)).toEqual(IMAGE);
    }
    expect(givenUp).toBeGreaterThan(10);
  });

  it('who has given up before it began opens no port', async () => {
    const { port, flash } = setUp();
    expect((await failureOf(flash(IMAGE, { signal: AbortSignal.abort() }))).code).toBe('given up');
    expect(port.openings).toEqual([]);
  });
});

it('asks for nothing but synchronism, signature, addresses, pages of the flash and their contents', async () => {
  const { port, flash } = setUp();
  await flash();
  const kinds = new Set(port.written.map(([command]) => command));
  expect([...kinds].sort((a, b) => a! - b!)).toEqual([0x30, 0x50, 0x51, 0x55, 0x64, 0x74, 0x75]);
  for (const bytes of port.written) {
    expect(bytes.at(-1)).toBe(0x20);
    if (bytes[0] === 0x64 || bytes[0] === 0x74) expect([...bytes.subarray(1, 4)]).toEqual([0, 128, 0x46]);
    if (bytes[0] === 0x55) expect(2 * (bytes[1]! | (bytes[2]! << 8))).toBeLessThan(IMAGE.length);
  }
});
