/** Program memory of an ATmega328P in bytes. */
const FLASH_BYTES = 32_768;

const RecordType = {
  data: 0,
  endOfFile: 1,
  segmentAddress: 2,
  startSegment: 3,
  linearAddress: 4,
  startLinear: 5,
};

/**
 * Reads an Intel HEX file into program memory: 16384 little-endian words, 0xffff where the file says
 * nothing, as in an erased chip.
 * Throws an Error that names the line when a record is damaged, when a byte would lie outside the flash
 * or is given twice, or when the end-of-file record is missing.
 * Format: Intel, Hexadecimal Object File Format Specification, revision A, 1988.
 */
export function readHexImage(text: string, flashBytes = FLASH_BYTES): Uint16Array {
  const flash = new Uint8Array(flashBytes).fill(0xff);
  const given = new Uint8Array(flashBytes);
  let base = 0;
  let ended = false;
  for (const [index, rawLine] of text.split(/\r?\n/).entries()) {
    const line = rawLine.trim();
    if (line === '') continue;
    const fail = (what: string): never => {
      throw new Error(`Hex file, line ${index + 1}: ${what}.`);
    };
    if (ended) fail('something follows the end-of-file record');
    const record = readRecord(line, fail);
    switch (record.type) {
      case RecordType.data:
        for (const [offset, byte] of record.data.entries()) {
          const at = base + record.address + offset;
          if (at >= flashBytes) fail(`address ${hexadecimal(at)} lies outside the program memory`);
          if (given[at]) fail(`address ${hexadecimal(at)} is given twice`);
          given[at] = 1;
          flash[at] = byte;
        }
        break;
      case RecordType.endOfFile:
        ended = true;
        break;
      case RecordType.segmentAddress:
        base = addressBase(record.data, fail) * 16;
        break;
      case RecordType.linearAddress:
        base = addressBase(record.data, fail) * 65_536;
        break;
      case RecordType.startSegment:
      case RecordType.startLinear:
        break; // where a program starts: an AVR starts at its reset vector
      default:
        fail(`record type ${record.type} is unknown`);
    }
  }
  if (!ended) throw new Error('Hex file: the end-of-file record is missing; the file may be cut short.');
  const words = new Uint16Array(flashBytes / 2);
  for (let word = 0; word < words.length; word++) {
    words[word] = flash[2 * word]! | (flash[2 * word + 1]! << 8);
  }
  return words;
}

function readRecord(line: string, fail: (what: string) => never) {
  if (!line.startsWith(':')) fail('a record must begin with a colon');
  const digits = line.slice(1);
  if (!/^(?:[0-9a-f]{2})*$/i.test(digits)) fail('a record must consist of pairs of hexadecimal digits');
  const bytes = Uint8Array.from({ length: digits.length / 2 }, (_, i) =>
    Number.parseInt(digits.slice(2 * i, 2 * i + 2), 16),
  );
  if (bytes.length < 5 || bytes.length !== bytes[0]! + 5)
    fail('the record is shorter or longer than it says');
  if (bytes.reduce((sum, byte) => sum + byte, 0) & 0xff) fail('the checksum is wrong');
  return { address: (bytes[1]! << 8) | bytes[2]!, type: bytes[3]!, data: bytes.subarray(4, -1) };
}

function addressBase(data: Uint8Array, fail: (what: string) => never): number {
  if (data.length !== 2) fail('an address record must hold two bytes');
  return (data[0]! << 8) | data[1]!;
}

const hexadecimal = (n: number) => `0x${n.toString(16)}`;
