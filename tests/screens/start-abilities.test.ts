import { describe, expect, it } from 'vitest';
import {
  type Ability,
  type AbilitySurroundings,
  type Asked,
  abilities,
  boardAdvice,
} from '../../app/screens/start-abilities.ts';

const everything: AbilitySurroundings = {
  isSecureContext: true,
  crossOriginIsolated: true,
  indexedDB: {},
  document: {},
  navigator: { serial: {}, usb: {}, serviceWorker: {} },
};
const promised: Asked = { lasting: true, offline: true };

const line = (name: Ability['name'], around: AbilitySurroundings, asked: Asked = promised) =>
  abilities(around, asked).find((one) => one.name === name)!;

const withPorts = (navigator: object): AbilitySurroundings => ({
  ...everything,
  navigator: { serviceWorker: {}, ...navigator },
});

describe('what this browser can do', () => {
  it('is all well where everything is there', () => {
    const found = abilities(everything, promised);
    expect(found.map(({ good }) => good)).toEqual(['yes', 'yes', 'yes', 'yes', 'yes', 'yes']);
    expect(boardAdvice({ by: 'serial' })).toBeNull();
  });

  it('over WebUSB it is some boards: which, which not, and what to use for those', () => {
    const { good, mark, words } = line('Board', withPorts({ usb: {} }));
    expect({ good, mark }).toEqual({ good: 'partly', mark: 'some boards' });
    for (const part of ['CDC', 'CH340', 'FTDI', 'CP210x']) expect(words).toContain(part);
    const advice = boardAdvice({ by: 'usb' })!;
    expect(advice.tone).toBe('word');
    for (const part of ['CDC', 'CH340', 'FTDI', 'CP210x', 'driver', 'Chrome, Edge or Firefox'])
      expect(advice.words).toContain(part);
  });

  it('without either it is none, and what to use instead is said', () => {
    expect(line('Board', withPorts({}))).toMatchObject({ good: 'no', mark: 'no' });
    const { tone, words } = boardAdvice({ by: null, since: 'missing' })!;
    expect(tone).toBe('trouble');
    expect(words).toMatch(/Chrome, Edge or Firefox.*practice bench/);
  });

  it('a page over plain http is told how to be opened', () => {
    const insecure = { ...withPorts({ serviceWorker: undefined }), isSecureContext: false };
    expect(line('Secure page', insecure).good).toBe('no');
    expect(line('Database', insecure).good).toBe('no');
    expect(line('Board', insecure)).toMatchObject({ good: 'no', words: expect.stringContaining('secure') });
    expect(line('Offline', insecure, { lasting: null, offline: null }).good).toBe('no');
    expect(boardAdvice({ by: null, since: 'not secure' })!.words).toMatch(/http:\/\/localhost.*https/);
  });

  it('a page that a policy keeps from the ports is told whose policy it is', () => {
    const featurePolicy = { features: () => ['serial', 'usb'], allowsFeature: () => false };
    const kept = { ...everything, document: { featurePolicy } };
    expect(line('Board', kept)).toMatchObject({ good: 'no', words: expect.stringContaining('policy') });
    expect(boardAdvice({ by: null, since: 'kept from the page' })!.words).toContain('serial=(self)');
  });

  it('says what is not kept, not promised, not yet there', () => {
    expect(line('Database', { ...everything, indexedDB: undefined }).good).toBe('no');
    expect(line('Lasting storage', everything, { ...promised, lasting: false })).toMatchObject({
      good: 'partly',
      mark: 'not promised',
      words: expect.stringContaining('Settings'),
    });
    expect(line('Fine clock', { ...everything, crossOriginIsolated: false }).good).toBe('no');
    expect(line('Offline', everything, { ...promised, offline: null })).toMatchObject({
      good: 'partly',
      mark: 'not yet',
    });
  });

  it('names no state by its colour alone: the words of a line differ with it', () => {
    const worst = abilities(
      { isSecureContext: false, crossOriginIsolated: false, document: {}, navigator: {} },
      { lasting: null, offline: null },
    );
    const best = abilities(everything, promised);
    for (const [n, { mark, words }] of worst.entries()) {
      expect(mark).not.toBe(best[n]!.mark);
      expect(words).not.toBe(best[n]!.words);
    }
  });
});
