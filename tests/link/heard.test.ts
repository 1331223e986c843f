/** What is said of a port on which nobody introduced himself. */
import { describe, expect, it } from 'vitest';
import { Heard } from '../../app/link/heard.ts';
import { Random } from '../../app/practice/random.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { status } from './fake-port.ts';

const verdictOn = (bytes: Uint8Array) => {
  const heard = new Heard();
  heard.take(bytes);
  return heard.verdict(4);
};
const text = (words: string) => new TextEncoder().encode(words);

/** Bits on a line, start and stop bits included, as a receiver finds bytes in them that samples amid its own bits. */
function heardAtSpeed(sent: Uint8Array, bitsOfReceiverPerBit: number): Uint8Array {
  const levels: number[] = [];
  for (const byte of sent) {
    levels.push(0);
    for (let bit = 0; bit < 8; bit++) levels.push((byte >> bit) & 1);
    levels.push(1);
  }
  const level = (at: number) => levels[Math.floor(at / bitsOfReceiverPerBit)] ?? 1;
  const end = levels.length * bitsOfReceiverPerBit;
  const step = 1 / 8;
  const heard: number[] = [];
  for (let at = step; at < end; at += step) {
    if (!(level(at - step) === 1 && level(at) === 0)) continue;
    let byte = 0;
    for (let bit = 0; bit < 8; bit++) byte |= level(at + 1.5 + bit) << bit;
    heard.push(byte);
    at += 9.5;
  }
  return Uint8Array.from(heard);
}

const noise = (seed: number, count: number) => {
  const random = new Random(seed);
  return Uint8Array.from({ length: count }, () => random.bits32() & 0xff);
};

describe('a port on which nobody introduced himself', () => {
  it('and nothing was heard, or a few stray bytes: may be a bare board', () => {
    expect(verdictOn(new Uint8Array()).reason).toBe('nothing heard');
    expect(verdictOn(Uint8Array.of(0, 255, 0)).reason).toBe('nothing heard');
    expect(verdictOn(new Uint8Array()).sentence).toContain('put the firmware on');
  });

  it.each(['\r\nRING\r\n', 'OK\r\n', '$GPRMC,120000,A,0000.000,N,00000.000,E,000.0\r\n'])(
    'and which sends text is told with its text: %j',
    (words) => {
      const { reason, sentence } = verdictOn(text(words));
      expect(reason).toBe('sends text');
      expect(sentence).toContain(words.trim().slice(0, 20));
      expect(sentence).not.toMatch(/[\r\n]/);
    },
  );

  it('repeats text without anything but printable characters', () => {
    const { sentence } = verdictOn(text('ready\u0007\u001b[2J ready ready ready ready ready ready'));
    expect(sentence).toMatch(/^[\x20-\x7e“”’]*$/);
  });

  it.each([
    [2, 'half our speed'],
    [52, '9600 baud heard at 500,000'],
    [4.34, '115,200 baud heard at 500,000'],
    [8.68, '115,200 baud heard at 1,000,000'],
  ])('and whose sender is slower: each bit takes %d of the receiver’s (%s)', (ratio) => {
    expect(verdictOn(heardAtSpeed(noise(31, 300), ratio)).reason).toBe('wrong speed');
    expect(verdictOn(heardAtSpeed(text('Hello there, this is some other firmware.'), ratio)).reason).toBe(
      'wrong speed',
    );
  });

  it('and which sends bytes of any kind is no tester', () => {
    for (let seed = 1; seed <= 50; seed++) expect(verdictOn(noise(seed, 64)).reason).toBe('not a tester');
  });

  it('does not take a tester’s own stream for slower, however dark the light is', () => {
    const values = Uint8Array.from({ length: 128 }, (_, k) => 5 + (k % 3));
    const block = encodeMessage({
      type: 'samples',
      sequence: 1,
      index: 0,
      tick: status.tick,
      mask: 1,
      first: 0,
      lost: 0,
      values,
    });
    expect(verdictOn(block.subarray(1)).reason).toBe('not a tester');
  });

  it('but good frames came from: hears nothing of the page', () => {
    const heard = new Heard();
    heard.take(encodeMessage(status));
    heard.message();
    expect(heard.verdict(4)).toMatchObject({ reason: 'no introduction' });
  });

  it('and which sends back what it is sent is no tester', () => {
    const heard = new Heard();
    heard.take(Uint8Array.of(5, 0x10, 1, 2, 3, 0));
    heard.unknown(0x10);
    expect(heard.verdict(4)).toMatchObject({ reason: 'not a tester' });
    expect(heard.verdict(4).sentence).toContain('sends back');
  });
});
