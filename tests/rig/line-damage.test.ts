import { describe, expect, it } from 'vitest';
import { DAMAGE_KINDS, type Damage, type DamageKind, LineDamage } from './line-damage.ts';

const counting = Uint8Array.from({ length: 200_000 }, (_, index) => index);

function passInPieces(line: LineDamage, piece: number): { bytes: number[]; damages: Damage[] } {
  const bytes: number[] = [];
  const damages: Damage[] = [];
  for (let start = 0; start < counting.length; start += piece) {
    const passed = line.pass(counting.subarray(start, start + piece));
    bytes.push(...passed.bytes);
    damages.push(...passed.damages.map(({ kind, offset }) => ({ kind, offset: offset + start })));
  }
  return { bytes, damages };
}

describe('a bad line', () => {
  it('is the same in large pieces or in small ones, and another one with another seed', () => {
    const large = passInPieces(new LineDamage({ rate: 0.01, seed: 1 }), 50_000);
    expect(passInPieces(new LineDamage({ rate: 0.01, seed: 1 }), 37)).toEqual(large);
    expect(passInPieces(new LineDamage({ rate: 0.01, seed: 2 }), 37).damages).not.toEqual(large.damages);
  });

  it('does as much damage as asked, each kind as often', () => {
    const { damages, bytes } = passInPieces(new LineDamage({ rate: 0.02, seed: 3 }), 1000);
    // 4000 expected; five standard deviations of a binomial count are about 313.
    expect(Math.abs(damages.length - 4000)).toBeLessThan(313);
    const count = (kind: DamageKind) => damages.filter((damage) => damage.kind === kind).length;
    for (const kind of DAMAGE_KINDS) expect(Math.abs(count(kind) - damages.length / 4)).toBeLessThan(140);
    expect(bytes.length).toBe(counting.length + count('doubled') + count('inserted') - count('dropped'));
  });

  it.each(DAMAGE_KINDS)('tells truly where a byte was %s', (kind) => {
    const source = Uint8Array.from({ length: 5000 }, (_, index) => index * 7);
    const { bytes, damages } = new LineDamage({ rate: 0.001, kinds: [kind], seed: 4 }).pass(source);
    expect(damages.length).toBeGreaterThan(0);
    const mended = [...bytes];
    for (const { offset } of damages) {
      const original = source[offset] as number;
      if (kind === 'flipped') {
        const difference = (mended[offset] as number) ^ original;
        expect(difference !== 0 && (difference & (difference - 1)) === 0).toBe(true);
        mended[offset] = original;
      }
      if (kind === 'dropped') mended.splice(offset, 0, original);
      if (kind === 'doubled' || kind === 'inserted') mended.splice(offset, 1);
    }
    expect(mended).toEqual([...source]);
  });

  it('leaves a sound line alone and refuses nonsense', () => {
    const sound = new LineDamage({ rate: 0, seed: 5 });
    const { bytes, damages } = sound.pass(counting);
    expect(bytes).toBe(counting);
    expect(damages).toEqual([]);
    expect(() => new LineDamage({ rate: 1.5, seed: 5 })).toThrow(RangeError);
    expect(() => new LineDamage({ rate: 0.1, kinds: [], seed: 5 })).toThrow(RangeError);
  });
});
