/** The formats that files leave the house in, against the documents that define them. */
import { describe, expect, it } from 'vitest';
import { sha256Hex } from '../../app/certificate/data-file.ts';
import { canonicalJson } from '../../app/certificate/data-file-json.ts';
import { csvText } from '../../app/certificate/results-csv-cells.ts';
import { base64, bytesOf } from '../../app/record/job-file-base64.ts';

const ascii = (text: string) => new TextEncoder().encode(text).slice();

describe('base64: test vectors of RFC 4648, section 10', () => {
  it.each([
    ['', ''],
    ['f', 'Zg=='],
    ['fo', 'Zm8='],
    ['foo', 'Zm9v'],
    ['foob', 'Zm9vYg=='],
    ['fooba', 'Zm9vYmE='],
    ['foobar', 'Zm9vYmFy'],
  ])('%j is %j', (text, encoded) => {
    expect(base64(ascii(text))).toBe(encoded);
    expect(bytesOf(encoded)).toEqual(ascii(text));
  });
});

describe('SHA-256: the example messages of FIPS 180-4 (NIST, example values; from memory)', () => {
  it.each([
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
  ])('of %j', async (message, digest) => {
    expect(await sha256Hex(ascii(message))).toBe(digest);
  });
});

describe('canonical JSON: RFC 8785 (examples from memory)', () => {
  it('3.2.2: literals, numbers and strings', () => {
    const input = String.raw`{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }`;
    expect(canonicalJson(JSON.parse(input))).toBe(
      `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],` +
        String.raw`"string":"€$\u000f\nA'B\"\\\\\"/"}`,
    );
  });

  it('3.2.3: names in the order of their UTF-16 code units', () => {
    const members = {
      '\u20ac': 'Euro Sign',
      '\r': 'Carriage Return',
      '\ufb33': 'Hebrew Letter Dalet With Dagesh',
      '1': 'One',
      '\ud83d\ude00': 'Emoji: Grinning Face',
      '\u0080': 'Control',
      '\u00f6': 'Latin Small Letter O With Diaeresis',
    };
    expect(Object.values(JSON.parse(canonicalJson(members)) as object)).toHaveLength(7);
    expect(canonicalJson(members).match(/[A-Z][A-Za-z: ]+(?=")/g)).toEqual([
      'Carriage Return',
      'One',
      'Control',
      'Latin Small Letter O With Diaeresis',
      'Euro Sign',
      'Emoji: Grinning Face',
      'Hebrew Letter Dalet With Dagesh',
    ]);
  });

  it.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['44b52d02c7e14af6', '1e+23'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555555', '333333333.3333333'],
  ])('appendix B: the double %s is written %s', (hex, text) => {
    const bytes = Uint8Array.from(hex.match(/../g)!, (pair) => Number.parseInt(pair, 16));
    expect(canonicalJson(new DataView(bytes.buffer).getFloat64(0))).toBe(text);
  });

  it('appendix B: NaN and the infinities are no JSON', () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(() => canonicalJson(value)).toThrow(RangeError);
    }
  });
});

describe('CSV: the examples of RFC 4180, section 2', () => {
  it('2.1: a line each, with CRLF', () => {
    expect(
      csvText(
        [
          ['aaa', 'bbb', 'ccc'],
          ['zzz', 'yyy', 'xxx'],
        ],
        ',',
        '.',
      ),
    ).toBe('aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n');
  });

  it('2.6: fields with line breaks, quotes and commas stand in quotes', () => {
    expect(csvText([['aaa', 'b\r\nbb', 'ccc']], ',', '.')).toBe('aaa,"b\r\nbb",ccc\r\n');
    expect(csvText([['a,b']], ',', '.')).toBe('"a,b"\r\n');
  });

  it('2.7: a quote within a field is doubled', () => {
    expect(csvText([['aaa', 'b"bb', 'ccc']], ',', '.')).toBe('aaa,"b""bb",ccc\r\n');
  });
});

describe('CSV: characters that OWASP ASVS 5.0, 1.2.10 wants escaped at the beginning of a field', () => {
  it.each(['=', '+', '-', '@', '\t', '\0'])('%j', (character) => {
    const [field] = csvText([[`${character}1+1`]], ',', '.').split('\r\n');
    expect(field!.replace(/^"/, '')).toMatch(/^'/);
  });
});
