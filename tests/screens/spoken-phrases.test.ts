import { describe, expect, it } from 'vitest';
import type { ReadingWords } from '../../app/screens/reading-words.ts';
import { spokenMark, spokenNext, spokenReading } from '../../app/screens/spoken-phrases.ts';
import { seconds, stops } from '../../firmware-protocol/units.ts';

const slow: ReadingWords = {
  kind: 'slow',
  sign: 'slow',
  words: '',
  tone: 'beyond',
  time: seconds(0.025),
  error: stops(0.58),
  caveat: null,
};

describe('a mark said aloud', () => {
  it('is called by its denominator, a whole time by its seconds', () => {
    expect(spokenMark('1/60', 'en-GB')).toBe('60');
    expect(spokenMark('1', 'en')).toBe('1 second');
    expect(spokenMark('2', 'de-DE')).toBe('2 Sekunden');
    expect(spokenMark('B', 'fr')).toBe('B');
  });
});

describe('a reading said aloud', () => {
  it('is the mark, the direction and the size in the writing of the language', () => {
    expect(spokenReading('1/60', slow, false, 'en-US')).toBe('60: slow 0.6');
    expect(spokenReading('1/60', slow, false, 'de-AT')).toBe('60: zu lang 0,6');
    expect(spokenReading('1/60', { ...slow, kind: 'fast', error: stops(-0.34) }, false, 'it')).toBe(
      '60: veloce 0,3',
    );
  });

  it('speaks English where there are no words for the language', () => {
    expect(spokenReading('1/60', slow, false, 'cs-CZ')).toMatch(/^60: slow 0,6$/);
  });

  it('gives no size of what is spoilt, set aside or has none', () => {
    expect(spokenReading('1/60', { ...slow, kind: 'spoilt' }, false, 'en')).toBe('60: spoilt, fire again');
    expect(spokenReading('1/60', { ...slow, kind: 'set aside' }, false, 'en')).toBe('60: set aside');
    expect(spokenReading('B', { ...slow, kind: 'no reference', error: null }, false, 'en')).toBe('B');
    expect(spokenReading('1/60', { ...slow, kind: 'not counted', error: null }, false, 'en')).toBe(
      '60: not counted',
    );
  });

  it('gives no size whose direction nobody hears', () => {
    expect(spokenReading('1/60', { ...slow, kind: 'not counted' }, false, 'en')).toBe('60: not counted');
  });

  it('asks where the dial stands instead of telling a size', () => {
    expect(spokenReading('1/60', slow, true, 'en')).toBe('is the dial at 60?');
  });
});

it('says what comes next, or that nothing does', () => {
  expect(spokenNext('1/125', 'en')).toBe('next 125');
  expect(spokenNext(null, 'es')).toBe('todas las velocidades hechas');
});
