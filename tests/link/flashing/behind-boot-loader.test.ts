/** A tester behind a boot loader is greeted as the page greets: quiet for a second, then HELLO every 250 ms. */
import { expect, it } from 'vitest';
import { encodeCommand } from '../../../firmware-protocol/commands.ts';
import { MessageReader } from '../../../firmware-protocol/decode.ts';
import { BAUD_RATES } from '../../../firmware-protocol/line-speeds.ts';
import type { Hello } from '../../../firmware-protocol/messages.ts';
import { TESTER_HEX } from '../../practice/tester-firmware.ts';
import { EmulatedBoardPort } from './emulated-board-port.ts';
import { passTime, VirtualTime } from './virtual-time.ts';

/** Emulated milliseconds for which a page greets at each speed. */
const PATIENCE = { normal: 4000, fast: 3000 };
/** The small boot loader reads MCUSR and clears it, so what caused the reset is lost; the older one leaves it. */
const CAUSE = { small: 0, older: 3 };

it.each([
  ['small', 'normal', 52],
  ['small', 'fast', 26],
  ['older', 'normal', 52],
  ['older', 'fast', 26],
] as const)('%s boot loader, %s rate', async (bootLoader, rate, ticksPerConversion) => {
  const time = new VirtualTime();
  const port = new EmulatedBoardPort(time, { bootLoader, application: TESTER_HEX });
  const before = port.flash.slice();
  const reader = new MessageReader();
  await port.open(BAUD_RATES[rate]);
  const listening = (async (): Promise<Hello | null> => {
    for (;;) {
      const found: Hello[] = [];
      const read = await port.read();
      if (read.kind === 'ended') return null;
      if (read.kind !== 'bytes') continue;
      reader.push(
        read.bytes,
        (message) => message.type === 'hello' && found.push(message),
        () => {},
      );
      if (found[0]) return found[0];
    }
  })();
  const ask = () => {
    if (port.isOpen) void port.write(encodeCommand({ type: 'hello', tag: 0 }));
    time.after(250, ask);
  };
  time.after(1000, ask);
  time.after(PATIENCE[rate], () => void port.close());
  const hello = await passTime(time, port, listening);
  expect(hello).toMatchObject({ ticksPerConversion, resetCause: CAUSE[bootLoader] });
  expect(port.flash).toEqual(before); // whatever the boot loader made of what it overheard
});
