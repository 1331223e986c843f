import { describe, expect, it } from 'vitest';
import { SCREEN_HELP } from '../../app/screens/help-screens.ts';
import { TERMS } from '../../app/screens/help-terms.ts';
import { keyName } from '../../app/screens/key-names.ts';

describe('help', () => {
  it('has whole sentences for every screen and every figure', () => {
    for (const { purpose, title } of Object.values(SCREEN_HELP))
      for (const text of purpose) expect(text, title).toMatch(/^[A-Z].+[.]$/s);
    for (const { text, name } of TERMS) {
      expect(text.length, name).toBeGreaterThan(0);
      for (const words of text) expect(words, name).toMatch(/^[A-Z].+[.]$/s);
    }
  });

  it('names each figure once', () => {
    const names = TERMS.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
  });
});

describe('names of keys', () => {
  it('are what stands on the key', () => {
    expect(['KeyN', 'Digit3', 'Space', 'Numpad7', 'NumpadEnter', 'PageDown', 'F13'].map(keyName)).toEqual([
      'N',
      '3',
      'space bar',
      '7 of the number pad',
      'Enter of the number pad',
      'page down',
      'F13',
    ]);
    expect(keyName('MediaPlayPause')).toBe('Media Play Pause');
  });
});
