/**
 * Devices that are no testers, at the far end of a line whose other end a page has opened by mistake. They speak
 * while the port is open.
 */
import { Random } from '../../app/practice/random.ts';
import { heardBytes } from '../../app/practice/unlike-speeds.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import type { SerialLine } from './serial-line.ts';

const text = (words: string) => new TextEncoder().encode(words);

/** Does something every so many ms while the port is open. */
function whileOpen(line: SerialLine, everyMs: number, act: () => void): void {
  let timer: ReturnType<typeof setInterval> | undefined;
  line.on('opened', () => {
    timer = setInterval(act, everyMs);
  });
  for (const end of ['closed', 'hungUp'] as const) line.on(end, () => clearInterval(timer));
}

/** Echoes each byte and answers each line; rings (result codes of ITU-T V.250). */
export function modem(line: SerialLine): void {
  let entered = '';
  line.on('bytes', (bytes) => {
    line.write(bytes);
    for (const byte of bytes) {
      if (byte !== 0x0d && entered.length < 40) entered += String.fromCharCode(byte);
      else {
        line.write(text(/^AT/i.test(entered) ? '\r\nOK\r\n' : '\r\nERROR\r\n'));
        entered = '';
      }
    }
  });
  whileOpen(line, 700, () => line.write(text('\r\nRING\r\n')));
}

/** Takes everything and says nothing. */
export function printer(): void {}

/** Sends lines of text by itself, as receivers of positions do (NMEA 0183); the place is invented. */
export function positionReceiver(line: SerialLine): void {
  const body = 'GPRMC,120000,A,0000.000,N,00000.000,E,000.0,000.0,010100,,';
  const check = [...body].reduce((sum, letter) => sum ^ letter.charCodeAt(0), 0);
  const sentence = `$${body}*${check.toString(16).toUpperCase().padStart(2, '0')}\r\n`;
  whileOpen(line, 100, () => line.write(text(sentence)));
}

/** Random bytes, some 20 kB a second. */
export function noise(line: SerialLine, seed: number): void {
  const random = new Random(seed);
  whileOpen(line, 10, () => line.write(Uint8Array.from({ length: 200 }, () => random.bits32() & 0xff)));
}

/** The tester's firmware on a board with half the crystal: all that it says comes at half the speed. */
export function halfSpeedTester(line: SerialLine): void {
  let sequence = 0;
  let tick = 0;
  whileOpen(line, 200, () => {
    tick += 200_000;
    sequence = (sequence + 1) & 0xff;
    const status = encodeMessage({
      type: 'status',
      sequence,
      tick: ticks(tick),
      streaming: false,
      mask: 1,
      overruns: 0,
      commandBytesLost: 0,
      commandsRefused: 0,
      edgesLost: 0,
      supplyMillivolts: 3300,
    });
    line.write(Uint8Array.from(heardBytes(status, 250_000, line.speed), ({ byte }) => byte));
  });
}
