import type { EmulatedBoard } from '../../app/practice/board.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { BAUD_RATES, type LineRate } from '../../firmware-protocol/line-speeds.ts';
import type { Command } from '../../firmware-protocol/messages.ts';
import { firmwareSymbols } from '../firmware-protocol/processor-share.ts';
import { conversionsMissing, TestBoard } from '../firmware-protocol/test-board.ts';
import { seededRandom } from '../seeded-random.ts';

const RAM_START = 0x100;
/** Bytes the stack may take, more than twice what it is known to. */
const STACK = 256;
const CANARY = 0xa5;
/** Between two looks at the board. */
const BYTES_IN_A_ROUND = 20_000;
const ROUNDS_A_BOARD = 5;
/** The serial number and its CRC; the firmware keeps nothing else there. */
const EEPROM_USED = 10;

type Random = () => number;

const SOUND: readonly Command[] = [
  { type: 'hello', tag: 1 },
  { type: 'start', tag: 2 },
  { type: 'stop', tag: 3 },
  { type: 'channels', tag: 4, mask: 5 },
  { type: 'channels', tag: 5, mask: 1 },
  { type: 'pulses', tag: 6, width: 300, gap: 300, count: 2 },
  { type: 'pulses', tag: 7, width: 0, gap: 0, count: 0 },
  { type: 'serial', tag: 8, serial: 'FUZZ' },
];

function mutated(bytes: Uint8Array, random: Random): number[] {
  const changed = [...bytes];
  for (let changes = 1 + Math.floor(3 * random()); changes > 0; changes--) {
    const at = Math.floor(random() * changed.length);
    const kind = Math.floor(6 * random());
    if (kind === 0) changed[at]! ^= 1 << Math.floor(8 * random());
    if (kind === 1) changed.splice(at, 1);
    if (kind === 2) changed.splice(at, 0, Math.floor(256 * random()));
    if (kind === 3) changed.splice(at, 0, ...changed.slice(0, at));
    if (kind === 4) changed[at] = [0, 1, 0x0f, 0x10, 0xff][Math.floor(5 * random())]!;
    if (kind === 5) changed.length = at;
  }
  return changed;
}

/** Sound commands but that of the serial number, mutated commands of all kinds, and noise. */
function somePiece(random: Random): number[] {
  const kind = random();
  if (kind < 0.1) return [...encodeCommand(SOUND[Math.floor(random() * (SOUND.length - 1))]!)];
  if (kind < 0.7) return mutated(encodeCommand(SOUND[Math.floor(random() * SOUND.length)]!), random);
  return Array.from(
    { length: 1 + Math.floor(40 * random()) },
    () => (random() < 0.1 ? 0 : 256 * random()) & 255,
  );
}

const counted = { bytes: 0, lost: 0, refused: 0, boards: 0, deepest: 0 };

/** A board with its free memory painted, and what must be true of it after each round. */
class Watched {
  readonly test: TestBoard;
  readonly #variablesEnd: number;

  constructor(rate: LineRate, variablesEnd: number) {
    this.test = new TestBoard({ rate });
    this.#variablesEnd = variablesEnd;
    this.test.greet();
    const { ram, stackPointer } = this.test.board;
    ram.fill(CANARY, variablesEnd - RAM_START, stackPointer - RAM_START);
  }

  checkMemory(): void {
    const { ram } = this.test.board;
    const deepest = ram.findIndex((byte, at) => at >= this.#variablesEnd - RAM_START && byte !== CANARY);
    const stack = ram.length - deepest;
    if (stack > STACK) throw new Error(`written beyond the variables: ${stack} bytes below the top`);
    counted.deepest = Math.max(counted.deepest, stack);
  }

  /** A command that begins with a delimiter, since noise may have left a frame unfinished. */
  command(command: Parameters<TestBoard['ask']>[0]): number {
    this.test.send(Uint8Array.of(0));
    return this.test.ask(command).result;
  }

  checkStream(): void {
    const { test } = this;
    test.run(60); // what is under way ends, a serial number stored among it
    this.command({ type: 'stop' });
    this.command({ type: 'channels', mask: 1 });
    const from = test.messages.length;
    if (this.command({ type: 'start' }) !== 0) throw new Error('the stream does not start');
    test.run(30);
    const blocks = test.messages.slice(from).filter((message) => message.type === 'samples');
    if (blocks.length < 8) throw new Error(`the stream stands: ${blocks.length} blocks`);
    if (conversionsMissing(blocks) > 0) throw new Error('conversions are lost in a quiet stream');
  }

  checkLine(): void {
    const { test } = this;
    if (test.damage.length > 0) throw new Error(`damaged: ${test.damage[0]!.cause}`);
    if (test.sequenceJumps.length > 0) throw new Error('a frame is missing');
    if (test.of('hello').some(({ sequence, resetCause }) => sequence === 0 && resetCause === 0)) {
      throw new Error('the board began anew');
    }
  }
}

/** The record of the EEPROM must be what SERIAL was asked to store, and nothing else may have been written. */
function checkEeprom(board: EmulatedBoard, before: Uint8Array, serialsStored: number): void {
  if (!board.eeprom.subarray(EEPROM_USED).every((byte) => byte === 0xff))
    throw new Error('EEPROM written elsewhere');
  const changed = board.eeprom.some((byte, at) => byte !== before[at]);
  if (changed && serialsStored === 0) throw new Error('EEPROM written without SERIAL');
}

function fuzz(rate: LineRate, bytes: number, variablesEnd: number, seed: number): void {
  const random = seededRandom(seed);
  let watched = new Watched(rate, variablesEnd);
  let left = bytes;
  for (let round = 0; left > 0; round++) {
    const { test } = watched;
    const eeprom = test.board.eeprom.slice();
    test.forget();
    // Each fourth round at the line's full speed, where most of it finds no room; else as fast as it is taken.
    const flood = round % 4 === 3;
    for (let sent = 0; sent < BYTES_IN_A_ROUND && left > 0; ) {
      const piece = Uint8Array.from(somePiece(random));
      test.send(piece);
      sent += piece.length;
      left -= piece.length;
      counted.bytes += piece.length;
      if (!flood || random() < 0.02) test.run((piece.length * (0.5 + random())) / 20);
    }
    test.run((flood ? BYTES_IN_A_ROUND * 10e3 : 0) / BAUD_RATES[rate] + 20);
    watched.checkStream();
    watched.checkLine();
    watched.checkMemory();
    const stored = test.of('reply').filter(({ command, result }) => command === 0x15 && result === 0);
    checkEeprom(test.board, eeprom, stored.length);
    if (round % ROUNDS_A_BOARD < ROUNDS_A_BOARD - 1 && left > 0) continue;
    test.run(300);
    const status = test.of('status').at(-1)!;
    counted.lost += status.commandBytesLost;
    counted.refused += status.commandsRefused;
    counted.boards++;
    watched = new Watched(rate, variablesEnd);
  }
}

/** SERIAL itself, between noise: what the EEPROM holds is then its record, with nothing written beside it. */
function checkSerial(rate: LineRate): void {
  const random = seededRandom(77);
  const test = new TestBoard({ rate });
  test.greet();
  for (let n = 0; n < 20; n++) {
    test.send(Uint8Array.from([...somePiece(random), 0]));
    test.run(60);
    const serial = `N${n}`;
    if (test.ask({ type: 'serial', serial }).result !== 0) throw new Error('SERIAL is not answered');
    const text = String.fromCharCode(...test.board.eeprom.subarray(0, serial.length));
    if (text !== serial) throw new Error(`EEPROM holds ${text}`);
    if (!test.board.eeprom.subarray(EEPROM_USED).every((byte) => byte === 0xff))
      throw new Error('written beside');
  }
}

/**
 * So many random and mutated command bytes, half of them at each rate: the stream must go on, nothing may be written
 * beyond the firmware's variables and its stack, and the EEPROM by nothing but SERIAL.
 */
export function commandByteRuns(bytes: number): boolean {
  const symbols = firmwareSymbols();
  const variablesEnd = symbols.get('_end')! & 0xffff;
  for (const [n, rate] of (['normal', 'fast'] as const).entries()) {
    fuzz(rate, bytes / 2, variablesEnd, 4100 + n);
    checkSerial(rate);
  }
  console.log(
    `  ${counted.bytes} bytes at both rates, ${counted.lost} of them (at least) found no room, ${counted.refused} frames and commands ` +
      `refused, ${counted.boards} boards; the stream went on every time, ` +
      `variables end at 0x${variablesEnd.toString(16)}, nothing written from there to the stack, which took at most ` +
      `${counted.deepest} bytes; EEPROM written by SERIAL alone`,
  );
  return true;
}
