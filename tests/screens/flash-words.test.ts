import { describe, expect, it } from 'vitest';
import { objectionTo } from '../../app/link/introduction.ts';
import type { RefusedReason } from '../../app/link/session-state.ts';
import { mayLackFirmware } from '../../app/link/session-state.ts';
import { presentProgram } from '../../app/screens/flash-words.ts';
import type { View } from '../../app/screens/view.ts';
import { type Hello, PROTOCOL_VERSION } from '../../firmware-protocol/messages.ts';
import { hello } from '../link/fake-port.ts';

const carried = { image: '', version: '1.1', check: 0xabc };
const live = (said: Partial<Hello>): View['session'] => ({
  phase: 'live',
  hello: { ...hello, board: 'ATmega328P', ...said },
  status: null,
});
const refused = (reason: RefusedReason): View['session'] => ({ phase: 'refused', reason, sentence: '' });

describe('what is on the board', () => {
  it.each([
    [{ firmware: '1.0', image: 1 }, /has firmware 1\.0, the page brings 1\.1/],
    [{ firmware: '1.1', image: 0xabc }, /just what the page brings/],
    [{ firmware: '1.1', image: 0x123 }, /built otherwise.*00000123.*00000abc/],
  ])('is Leafclock’s own: %o', (said, words) => {
    const program = presentProgram(live(said), 'serial', carried);
    expect(program.isOurs).toBe(true);
    expect(program.words).toMatch(words);
  });

  it('is a tester’s of another model: not to be replaced without a question', () => {
    const program = presentProgram(live({ board: 'another' }), 'serial', carried);
    expect(program.isOurs).toBe(false);
    expect(program.words).toContain('another');
  });

  it('is not known of a practice board, a recording, or when nothing is connected', () => {
    for (const source of ['practice', 'recording', null] as const)
      expect(presentProgram(live({}), source, carried)).toMatchObject({ isOurs: false });
    expect(presentProgram({ phase: 'idle' }, null, null).words).toContain('No board');
  });
});

describe('a board that was refused', () => {
  it.each(['nothing heard', 'sends text', 'wrong speed', 'not a tester'] as const)(
    '%s: offered, after a question',
    (reason) => {
      expect(mayLackFirmware(refused(reason))).toBe(true);
      expect(presentProgram(refused(reason), 'serial', carried)).toMatchObject({ isOurs: false });
    },
  );

  it('with an older protocol: offered, without a question', () => {
    expect(objectionTo({ ...hello, protocol: PROTOCOL_VERSION - 1 })?.reason).toBe('older protocol');
    expect(objectionTo({ ...hello, protocol: PROTOCOL_VERSION + 1 })?.reason).toBe('wrong protocol');
    expect(mayLackFirmware(refused('older protocol'))).toBe(true);
    expect(presentProgram(refused('older protocol'), 'usb', carried)).toMatchObject({ isOurs: true });
  });

  it.each(['wrong protocol', 'could not open', 'in another tab', 'sends too much'] as const)(
    '%s: not offered',
    (reason) => {
      expect(mayLackFirmware(refused(reason))).toBe(false);
    },
  );
});
