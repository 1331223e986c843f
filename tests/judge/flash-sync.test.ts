import { describe, expect, it } from 'vitest';
import {
  flashSync,
  leadState,
  type SyncReading,
  type SyncVerdict,
  syncRange,
} from '../../app/judge/flash-sync.ts';
import {
  flashDurationSentence,
  flashSyncSentence,
  syncRangeSentence,
} from '../../app/judge/flash-sync-sentences.ts';
import type { ContactFigures } from '../../app/measure/figures.ts';
import { NO_FIGURES } from '../../app/measure/figures.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { contactAt, syncReading } from './sync-readings.ts';

const FLASH = seconds(0.001);
const judged = (setting: 'X' | 'M', contacts: readonly (ContactFigures | null)[], works = true) =>
  flashSync({
    setting,
    flashDuration: FLASH,
    leadWorks: works,
    readings: contacts.map((contact) => syncReading(contact)),
  });

describe('X', () => {
  it('is in time when the flash is over before the blades have closed to 90 %', () => {
    const result = judged('X', [contactAt(1.4), contactAt(1.5), contactAt(1.6)]);
    expect(result).toMatchObject({ verdict: 'in time', n: 3, closed: 3, told: 3 });
    // 8 ms less the closure less 1 ms of flash.
    expect(result.margin!.mean).toBeCloseTo(0.0055, 12);
    expect(result.margin!.worst).toBeCloseTo(0.0054, 12);
    expect(result.margin!.sd).toBeCloseTo(0.0001, 12);
    expect(result.openAtClosure).toBeCloseTo(0.97, 12);
    expect(flashSyncSentence(result)).toBe(
      'X is in time: the blades are 97 % open when it closes, and a flash of 1.00 ms is over at the least 5.40 ms before they have closed to 90 % (mean +5.50 ms, SD 0.10 ms). It stays closed for 10.0 ms on average, without bouncing.',
    );
  });

  it.each([
    { closed: 6.99, verdict: 'in time' },
    { closed: 7.01, verdict: 'too late' },
    { closed: 9, verdict: 'too late' },
    { closed: 1.26, verdict: 'in time' },
    { closed: 1.24, verdict: 'too early' },
    { closed: -15, verdict: 'too early' },
  ])(
    'closing at $closed ms, with the blades 80 % open at 1.25 and closed to 90 % at 8 ms: $verdict',
    ({ closed, verdict }) => {
      expect(judged('X', [contactAt(closed)]).verdict).toBe(verdict);
    },
  );

  it('is not in time if one firing of many is not', () => {
    const result = judged('X', [contactAt(1.4), contactAt(7.5), contactAt(1.5)]);
    expect(result.verdict).toBe('too late');
    expect(flashSyncSentence(result)).toContain('a flash of 1.00 ms goes on for up to 0.500 ms after');
    // Early by 0.05 ms once: that the others come 0.15 and 0.35 ms after 80 % is no fault.
    const early = judged('X', [contactAt(1.4), contactAt(1.2), contactAt(1.6)]);
    expect(early.verdict).toBe('too early');
    expect(early.lead!.worst).toBeCloseTo(0.00005, 12);
    expect(flashSyncSentence(early)).toContain('it closes up to 0.050 ms before the blades are 80 % open');
  });

  it('asks more of a shutter for a longer flash', () => {
    const with4 = flashSync({
      setting: 'X',
      flashDuration: seconds(0.004),
      leadWorks: true,
      readings: [syncReading(contactAt(4.5))],
    });
    expect(with4.verdict).toBe('too late');
    expect(judged('X', [contactAt(4.5)]).verdict).toBe('in time');
  });
});

describe('M', () => {
  it.each([
    { lead: 12.9, verdict: 'too late' },
    { lead: 13.1, verdict: 'in time' },
    { lead: 18.9, verdict: 'in time' },
    { lead: 19.1, verdict: 'too early' },
    { lead: -0.1, verdict: 'too late' },
  ])('closing $lead ms before 80 % open: $verdict', ({ lead, verdict }) => {
    const result = judged('M', [contactAt(1.25 - lead)]);
    expect(result.verdict).toBe(verdict);
    expect(result.margin).toBeNull();
    expect(result.lead!.mean).toBeCloseTo(lead / 1000, 12);
  });

  it('says its lead, with the range and its spread', () => {
    const result = judged('M', [contactAt(-14.75), contactAt(-13.75)]);
    expect(result.lead!.worst).toBeCloseTo(0.015, 12);
    expect(flashSyncSentence(result)).toMatch(
      /^M is in time: it closes 15\.5 ms before the blades are 80 % open \(mean \+15\.50 ms, SD 0\.71 ms\), where a camera maker's guide asks for 13 to 19 ms before/,
    );
    expect(flashSyncSentence(judged('M', [contactAt(2.25)]))).toContain(
      '1.00 ms after the blades are 80 % open',
    );
  });
});

describe('no closure', () => {
  it('is a result where the lead works, and nothing where that is not known', () => {
    expect(judged('X', [null, null])).toMatchObject({
      verdict: 'never closed',
      n: 2,
      closed: 0,
      margin: null,
      closedTime: null,
    });
    expect(judged('X', [null, null], false)).toMatchObject({ verdict: 'cannot be told' });
    expect(flashSyncSentence(judged('X', [null]))).toMatch(/did not close in this firing/);
    expect(flashSyncSentence(judged('M', [null, null]))).toMatch(/in none of 2 firings/);
    expect(flashSyncSentence(judged('X', [null], false))).toMatch(/Test the lead first/);
  });

  it('in some firings alone is said as such', () => {
    const result = judged('X', [contactAt(1.4), null, contactAt(1.4)]);
    expect(result).toMatchObject({ verdict: 'not every time', n: 3, closed: 2 });
    expect(flashSyncSentence(result)).toContain('closed in 2 of 3 firings');
  });

  it('is not said of a contact that stood closed all along, nor of one whose edges were lost', () => {
    const closed = contactAt(null, { closedBefore: true, parted: null });
    expect(judged('X', [closed])).toMatchObject({ verdict: 'cannot be told', stoodClosed: 1 });
    expect(flashSyncSentence(judged('X', [closed]))).toMatch(/stood closed all the time/);
    const lost = contactAt(null, { lost: 2 });
    expect(judged('X', [lost])).toMatchObject({ verdict: 'cannot be told', closed: 1, told: 0 });
    expect(flashSyncSentence(judged('X', [lost, contactAt(1.4)]))).toContain('In 1 of 2 firings the moment');
  });

  it('is not said of firings that don’t count: spoilt ones and those set aside', () => {
    const spoilt: SyncReading = { figures: { ...NO_FIGURES, remarks: [{ code: 'spoilt' }] }, setAside: null };
    const aside = syncReading(null, 'touched');
    const result = flashSync({
      setting: 'X',
      flashDuration: FLASH,
      leadWorks: true,
      readings: [spoilt, aside],
    });
    expect(result).toMatchObject({ verdict: 'cannot be told', n: 0 });
    expect(flashSyncSentence(result)).toBe('No firing counts here.');
    const more = flashSync({
      setting: 'X',
      flashDuration: FLASH,
      leadWorks: true,
      readings: [spoilt, aside, syncReading(contactAt(1.4))],
    });
    expect(more).toMatchObject({ verdict: 'in time', n: 1 });
    expect(flashSyncSentence(more)).not.toMatch(/mean|at the least|on average/);
  });
});

it('a contact that stood closed in some firings is not called one that fails to close', () => {
  const welded = contactAt(1.4, { closed: null, closedBefore: true, parted: null });
  const result = judged('X', [contactAt(1.4), welded, welded]);
  expect(result).toMatchObject({ verdict: 'cannot be told', closed: 1, stoodClosed: 2 });
  expect(flashSyncSentence(result)).toContain(
    'stood closed from before the release to the end in 2 of 3 firings: look for a short circuit',
  );
});

describe('what cannot be told', () => {
  it('is the margin of blades that were not seen to open so far, or to close', () => {
    expect(judged('X', [contactAt(1.4, { open80: null })]).verdict).toBe('cannot be told');
    expect(judged('X', [contactAt(1.4, { closing90: null })]).verdict).toBe('cannot be told');
    expect(judged('M', [contactAt(-15, { closing90: null })]).verdict).toBe('in time');
  });
});

it('of a board that times the light alone, neither a closure nor its absence tells anything', () => {
  // A contact that closes after the blades have is not in the record.
  for (const contact of [null, contactAt(1.4, { open80: null, open90: null, closing90: null })]) {
    const reading = syncReading(contact);
    const figures = { ...reading.figures, remarks: [{ code: 'open time only' as const }] };
    for (const readings of [
      [{ ...reading, figures }],
      [syncReading(contactAt(1.4)), { ...reading, figures }],
    ]) {
      const result = flashSync({ setting: 'X', flashDuration: FLASH, leadWorks: true, readings });
      expect(result).toMatchObject({ verdict: 'cannot be told', openTimeOnly: 1 });
      expect(flashSyncSentence(result)).toContain('with a board that sends the light itself');
    }
  }
});

describe('bounces', () => {
  it('are the most of any firing, and "at least" where edges were lost', () => {
    const bouncing = contactAt(1.4, { bounces: 2, bounceTime: seconds(0.0003) });
    const result = judged('X', [bouncing, contactAt(1.4, { bounces: 1 })]);
    expect(result).toMatchObject({ bounces: 2, bounceTime: 0.0003, moreBounces: false });
    expect(flashSyncSentence(result)).toContain('bounces up to 2 times, for 0.300 ms at the most');
    expect(
      flashSyncSentence(judged('X', [contactAt(1.4, { bounces: 1, bounceTime: seconds(0.0003) })])),
    ).toContain('bounces 1 time, for 0.300 ms;');
    expect(flashSyncSentence(judged('X', [{ ...bouncing, lost: 1 }]))).toContain('at least 2 times');
  });

  it('that go on for more than a millisecond are said to be a lot', () => {
    const said = (bounceTime: number) =>
      flashSyncSentence(judged('X', [contactAt(1.4, { bounces: 5, bounceTime: seconds(bounceTime) })]));
    expect(said(0.00101)).toMatch(
      /More than 1\.00 ms of bouncing is a lot \(our own limit\): clean the contact\.$/,
    );
    expect(said(0.00099)).not.toContain('a lot');
  });
});

describe('the lead', () => {
  const test = (state: 'works' | 'bounces' | 'never closed' | 'always closed') => ({
    at: '2031-03-03T09:00:00Z',
    result: { state },
  });
  const firedAt = (contact: ContactFigures | null, at: string) => ({ ...syncReading(contact), at });
  const dead = firedAt(null, '2031-03-03T10:00:00Z');

  it('is known to work by its test, or by a closure in any of the firings', () => {
    expect(leadState(null, [])).toBe('not known');
    expect(leadState(test('works'), [dead])).toBe('works');
    expect(leadState(test('bounces'), [])).toBe('works');
    expect(leadState(test('never closed'), [dead])).toBe('fails');
    expect(leadState(test('always closed'), [])).toBe('fails');
    expect(leadState(null, [dead, firedAt(contactAt(1.4), '2031-03-03T08:00:00Z')])).toBe('works');
  });

  it('that failed its test is not vouched for by a closure before that', () => {
    const closure = (at: string) => [firedAt(contactAt(1.4), at), dead];
    expect(leadState(test('never closed'), closure('2031-03-03T08:59:59Z'))).toBe('fails');
    expect(leadState(test('never closed'), closure('2031-03-03T09:00:01Z'))).toBe('works');
  });
});

describe('the range of X', () => {
  const mark = (label: string, verdict: SyncVerdict) => ({
    speed: { label, marked: label === 'B' ? null : seconds(1 / Number(label.slice(2))), exact: null },
    verdict,
  });

  it('ends at the fastest mark in time', () => {
    const marks = [
      mark('1/500', 'too late'),
      mark('1/60', 'in time'),
      mark('B', 'in time'),
      mark('1/250', 'in time'),
    ];
    expect(syncRange(marks)).toEqual({
      slowest: 'B',
      fastest: '1/250',
      except: [],
      slower: [],
      next: '1/500',
    });
    expect(syncRangeSentence(syncRange(marks))).toBe('X is in time from B to 1/250; not at 1/500.');
  });

  it('names those between that are not, and passes over what could not be told', () => {
    const marks = [
      mark('1/30', 'never closed'),
      mark('1/60', 'in time'),
      mark('1/125', 'not every time'),
      mark('1/250', 'in time'),
      mark('1/500', 'cannot be told'),
    ];
    expect(syncRangeSentence(syncRange(marks))).toBe(
      'X is in time from 1/60 to 1/250, except at 1/125; not at 1/30.',
    );
    expect(syncRangeSentence(syncRange([mark('1/60', 'in time')]))).toBe('X is in time at 1/60.');
    expect(syncRangeSentence(syncRange([mark('1/60', 'too late')]))).toBe(
      'X is in time at none of the marks that could be told.',
    );
  });
});

it('says for which flash X is judged, both ways of stating it', () => {
  expect(flashDurationSentence(FLASH)).toContain('1.00 ms down to a tenth');
  expect(flashDurationSentence(FLASH)).toContain('about 0.301 ms');
});
