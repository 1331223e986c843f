import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Message } from '../../firmware-protocol/messages.ts';
import { seededRandom } from '../seeded-random.ts';
import { fromHex, toHex } from './hex.ts';
import { vectors } from './vectors.ts';

/*
 * The board's own wire code, wire.c, compiled by gcc for this computer with the address and undefined behaviour
 * sanitizers, against the same vectors as the page's.
 */
const source = fileURLToPath(new URL('../../firmware-protocol/atmega328p', import.meta.url));
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leafclock-wire-'));
  execFileSync('make', ['-s', '-C', source, 'wire_host', `BUILD=${folder}`], { stdio: 'pipe' });
});
afterAll(() => rmSync(folder, { recursive: true }));

function ask(requests: readonly string[]): string[] {
  const answers = execFileSync(join(folder, 'wire_host'), {
    input: `${requests.join('\n')}\n`,
    encoding: 'utf8',
  });
  return answers.trimEnd().split('\n');
}

const field = (text: string, size: number) => Buffer.from(text.padEnd(size, '\0'), 'latin1').toString('hex');

/** What the host program is asked so that it sends `message`; null for what this firmware never sends. */
function request(message: Message): string | null {
  const { sequence } = message;
  switch (message.type) {
    case 'hello': {
      if (message.kind !== 'samples' || message.protocol !== 1) return null;
      const { image, tickHz, ticksPerConversion, bits, channels, resetCause } = message;
      const texts = [
        field(message.board, 16),
        ...message.firmware.split('.'),
        image,
        field(message.serial, 8),
      ];
      return ['hello', sequence, ...texts, tickHz, ticksPerConversion, bits, channels, resetCause].join(' ');
    }
    case 'samples': {
      const { index, tick, mask, first, lost, values } = message;
      return ['samples', sequence, index, tick, mask, first, lost, toHex(values)].join(' ');
    }
    case 'edge':
      return `edge ${sequence} ${message.input === 'contact' ? 0 : 1} ${message.closed ? 1 : 0} ${message.tick} ${message.lost}`;
    case 'status': {
      const { tick, streaming, mask, overruns, commandBytesLost, commandsRefused, edgesLost } = message;
      const counts = [overruns, commandBytesLost, commandsRefused, edgesLost, message.supplyMillivolts];
      return ['status', sequence, tick, streaming ? 1 : 0, mask, ...counts].join(' ');
    }
    case 'reply':
      return `reply ${sequence} ${message.command} ${message.tag} ${message.result}`;
    case 'pulse':
      return `pulse ${sequence} ${message.rise} ${message.fall} ${message.remaining}`;
    case 'shutter':
      return null;
  }
}

/** The content of a frame, by a decoder of its own: COBS taken literally, CRC cut off. */
function contentOf(hex: string): string {
  const encoded = [...fromHex(hex).subarray(0, -1)];
  const content: number[] = [];
  while (encoded.length > 0) {
    const code = encoded.shift()!;
    content.push(...encoded.splice(0, code - 1));
    if (encoded.length > 0) content.push(0);
  }
  return toHex(Uint8Array.from(content.slice(0, -2)));
}

describe("the firmware's own wire code, compiled for this computer", () => {
  it('sends every message of the vectors that this board can send', () => {
    const sent = vectors.messages.flatMap(({ message, hex }) => {
      const line = request(message);
      return line === null ? [] : [{ line, hex }];
    });
    expect(sent.length).toBeGreaterThanOrEqual(20);
    expect(ask(sent.map(({ line }) => line))).toEqual(sent.map(({ hex }) => hex));
  });

  it('frames every content of the vectors, both directions', () => {
    const frames = [...vectors.messages, ...vectors.commands].map(({ hex }) => hex);
    expect(ask(frames.map((hex) => `content ${contentOf(hex)}`))).toEqual(frames);
  });

  it('receives every command of the vectors', () => {
    const answers = ask(vectors.commands.map(({ hex }) => `receive ${hex}`));
    expect(answers).toEqual(
      vectors.commands.map(({ hex }) => {
        const content = contentOf(hex);
        const [type, tag] = fromHex(content);
        return `command ${type} ${tag} ${content.slice(4)}`;
      }),
    );
  });

  it('names every fault of the vectors, and hands on what only the program behind it can refuse', () => {
    const answers = ask(vectors.refusedByBoard.map(({ hex }) => `receive ${hex}`));
    vectors.refusedByBoard.forEach((vector, index) => {
      if (vector.fault) expect(answers[index], vector.name).toBe(vector.fault);
      else
        expect(answers[index], vector.name).toMatch(
          `command ${vector.refused!.command} ${vector.refused!.tag} `,
        );
    });
  });

  it('takes random bytes without stepping outside its memory, and a good command behind them', () => {
    const random = seededRandom(21);
    const good = vectors.commands[3]!;
    const answers = ask(
      Array.from({ length: 60 }, () => {
        const noise = Uint8Array.from({ length: 2000 }, () =>
          random() < 0.1 ? 0 : random() * (random() < 0.5 ? 8 : 256),
        );
        return `receive ${toHex(noise)}00${good.hex}`;
      }),
    );
    for (const answer of answers) {
      expect(answer).toMatch(/(^|,)command 19 5 05$/);
      expect(answer).toMatch(/(crc|coding)/);
    }
  });
});
