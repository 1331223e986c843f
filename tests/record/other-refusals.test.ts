import { describe, expect, it } from 'vitest';
import { LARGEST_PICTURE } from '../../app/record/picture-schema.ts';
import { openEnvelope, sealEnvelope } from '../../app/record/schema.ts';
import { thrownRecordError } from './record-under-test.ts';
import { sampleBoard, samplePicture, samplePreferences, sampleWorkshop } from './sample-job-parts.ts';

describe('a picture', () => {
  const refused = (bytes: Uint8Array) =>
    thrownRecordError(() => sealEnvelope('picture', samplePicture({ bytes })));

  it('is refused when it is too large, with its size and the limit', () => {
    const largest = samplePicture({ bytes: new Uint8Array(LARGEST_PICTURE) });
    expect(openEnvelope('picture', sealEnvelope('picture', largest)).bytes).toHaveLength(LARGEST_PICTURE);
    const error = refused(new Uint8Array(LARGEST_PICTURE + 200_000));
    expect(error).toMatchObject({ kind: 'refused', path: 'bytes' });
    expect(error.message).toContain('4.2 MB');
    expect(error.message).toContain('4 MB is the most');
  });

  it('is refused when it is empty', () => {
    expect(refused(new Uint8Array()).message).toContain('empty');
  });

  it.each([
    ['type', 'image/gif'],
    ['width', 0],
    ['height', 2.5],
    ['jobId', ''],
    ['bytes', [1, 2, 3]],
  ])('is refused with a %s of %j', (field, value) => {
    const picture = { ...samplePicture(), [field]: value };
    expect(thrownRecordError(() => sealEnvelope('picture', picture as never)).path).toBe(field);
  });

  it('is kept without the rest of the buffer that it looks into', () => {
    const bytes = new Uint8Array(100_000).fill(9).subarray(500, 800);
    const { data } = sealEnvelope('picture', samplePicture({ bytes }));
    expect((data as { bytes: Uint8Array }).bytes.buffer.byteLength).toBe(300);
  });
});

describe('a logo', () => {
  it('is refused when it is too large', () => {
    const logo = { ...sampleWorkshop.logo!, bytes: new Uint8Array(LARGEST_PICTURE + 1) };
    const error = thrownRecordError(() => sealEnvelope('workshop', { ...sampleWorkshop, logo }));
    expect(error).toMatchObject({ kind: 'refused', path: 'logo.bytes' });
  });
});

describe('preferences', () => {
  const refused = (changes: object) =>
    thrownRecordError(() => sealEnvelope('preferences', { ...samplePreferences, ...changes }));

  it.each([-0.1, 1.1, NaN])('are refused with a volume of %d', (volume) => {
    expect(refused({ tones: { on: true, volume } }).path).toBe('tones.volume');
    expect(refused({ voice: { ...samplePreferences.voice, volume } }).path).toBe('voice.volume');
  });

  it('are refused with one key for two things', () => {
    const error = refused({ keys: { undo: 'KeyU', 'next mark': 'KeyU' } });
    expect(error.path).toBe('keys');
    expect(error.message).toContain('one key');
  });

  it('are refused with a key for an unknown thing', () => {
    expect(refused({ keys: { 'make coffee': 'KeyC' } }).path).toBe('keys.make coffee');
  });

  it.each(['series', 'programmes', 'checkLists'] as const)('are refused with two %s of one id', (field) => {
    const list = samplePreferences[field];
    expect(refused({ [field]: [...list, list[0]] }).path).toBe(field);
  });

  it('are refused with a reminder every 0 days, and with a title that sounds accredited', () => {
    expect(refused({ backUp: { everyDays: 0, last: null } }).path).toBe('backUp.everyDays');
    const papers = { ...samplePreferences.papers, title: 'accredited certificate' };
    expect(refused({ papers }).path).toBe('papers.title');
  });
});

describe('a known board', () => {
  it('is refused with a number of problems below zero', () => {
    const lightCheck = { at: sampleBoard().lastSeen, problems: -1 };
    const error = thrownRecordError(() => sealEnvelope('known board', sampleBoard({ lightCheck })));
    expect(error.path).toBe('lightCheck.problems');
  });
});
