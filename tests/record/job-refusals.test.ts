import { describe, expect, it } from 'vitest';
import { STAGES } from '../../app/record/job.ts';
import { openEnvelope, sealEnvelope } from '../../app/record/schema.ts';
import { thrownRecordError } from './record-under-test.ts';
import { fullJob } from './sample-job-parts.ts';
import { sampleChecks, sampleJob } from './sample-records.ts';

/** What opening says of a job with another value in one place; undefined leaves the field out. */
function refusal(place: string, value: unknown) {
  const sealed = sealEnvelope('job', fullJob());
  const job = structuredClone(sealed.data) as Record<string, unknown>;
  const steps = place.split('.');
  const last = steps.pop()!;
  const holder = steps.reduce<Record<string, unknown>>((at, step) => at[step] as typeof at, job);
  if (value === undefined) delete holder[last];
  else holder[last] = value;
  return thrownRecordError(() => openEnvelope('job', { ...sealed, data: job }));
}

describe('the door refuses a job', () => {
  it.each<[what: string, place: string, value: unknown]>([
    ['a missing field', 'complaint', undefined],
    ['an unknown field', 'colour', 'red'],
    ['a wrong type', 'customer.name', 7],
    ['a time that is none', 'received', 'yesterday'],
    ['an unknown word', 'referenceRule', 'guess'],
    ['a band upside down', 'band', { lower: 1, upper: -1 }],
    ['no room for any spread', 'spreadLimit', 0],
    ['an unknown rule', 'decisionRule', 'lenient'],
    ['an unknown check', 'checks.0.kind', 'moonlight'],
    ['0 of the opening seen', 'stages.as found.setUp.seenShare', 0],
    ['1.1 of the opening seen', 'stages.as found.setUp.seenShare', 1.1],
    ['a linearity below zero', 'stages.as found.setUp.linearity', -0.01],
    ['a bandwidth of nothing', 'stages.as found.setUp.bandwidthHz', 0],
    ['a bandwidth without end', 'stages.as found.setUp.bandwidthHz', 2e8],
    ['a linearity of the whole', 'stages.as found.setUp.linearity', 1],
    ...STAGES.map((stage): [string, string, number] => [`no firings ${stage}`, `leastFirings.${stage}`, 0]),
    ['no state', 'states', []],
    ['an unknown state', 'states.1.state', 'lost'],
    ['a date of removal that is none', 'removed', true],
    ['an unknown place of the flash lever', 'stages.trials.sync', 'FP'],
    ['a skipped step before the first', 'stages.trials.skipped.0', -1],
    ['work before the first firing but one', 'steps.0.afterFiring', -1],
    ['unknown work', 'steps.0.kind', 'hit'],
    ['work in no direction', 'steps.0.direction', 'round'],
    ['an amount of nothing', 'steps.0.amount.value', 0],
    ['no words on the work', 'work.lubricants', undefined],
    ['a programme with no firings at a mark', 'programme.steps.1.firings', 0],
    ['a flash that is none', 'flashDuration', 0],
    ['a self-timer that ran no time', 'selfTimer.0.seconds', 0],
    ['an unknown start of the self-timer', 'selfTimer.0.startedBy', 'wish'],
    ['a film of no speed', 'meter.iso', 0],
    ['a constant of nothing', 'meter.constant.value', 0],
    ['an uncertainty below zero', 'meter.source.uncertainty', -0.1],
    ['no light', 'meter.points.0.light', 0],
    ['an f-number of nothing', 'meter.points.0.reading.fNumber', 0],
    ['an unknown cell', 'meter.cell', 'germanium'],
    ['an unknown state of the mechanics', 'mechanics.0.state', 'fine'],
    ['an empty id of a picture', 'notes.0.picture', ''],
    ['a note without a date', 'notes.0.at', ''],
    ['an unknown paper', 'issued.0.kind', 'banknote'],
    ['a hash in capitals', 'issued.0.dataSha256', 'F'.repeat(64)],
    ['a hash too short', 'issued.0.dataSha256', '0'.repeat(63)],
  ])('with %s at its place', (_, place, value) => {
    const { kind, path, message } = refusal(place, value);
    expect(kind).toBe('damaged');
    expect(path).toBe(place);
    expect(message).toContain(place);
  });

  it.each(['steps', 'selfTimer', 'meter.points', 'mechanics', 'notes'])('with two %s of one id', (place) => {
    const job = fullJob() as unknown as Record<string, unknown>;
    const list = place.split('.').reduce<unknown>((at, step) => (at as Record<string, unknown>)[step], job);
    const { path, message } = refusal(place, [...(list as object[]), (list as object[])[0]]);
    expect(path).toBe(place);
    expect(message).toContain('the same id twice');
  });

  it("with one check's result under another's name", () => {
    expect(refusal('checks', [{ ...sampleChecks[0], kind: 'iris' }]).path).toBe('checks.0.result.mark');
  });

  it('with a reading of the meter in no notation', () => {
    expect(refusal('meter.points.0.reading', { ev: 8, fNumber: 4 }).path).toBe('meter.points.0.reading');
  });

  it.each<[what: string, place: string, value: unknown]>([
    ['band', 'bands', { '1/75': sampleJob().band }],
    ['governed mark', 'profile.governed', ['1/75']],
    ['mark with the pallet', 'profile.pallet', ['1/75']],
    ['mark with a booster', 'profile.booster', ['1/75']],
    ['step of the programme', 'programme.steps.0.mark', '1/75'],
    ...STAGES.map((stage): [string, string, object] => [
      `outcome ${stage}`,
      `stages.${stage}.outcomes`,
      { '1/75': 'not tried' },
    ]),
  ])('with a %s that its series has not', (_, place, value) => {
    const { kind, message } = refusal(place, value);
    expect(kind).toBe('damaged');
    expect(message).toContain('not in the series');
  });

  it('with a series that holds a mark twice', () => {
    const job = sampleJob();
    const speeds = [...job.series.speeds, job.series.speeds[0]!];
    const error = thrownRecordError(() => sealEnvelope('job', { ...job, series: { ...job.series, speeds } }));
    expect(error.path).toBe('series.speeds');
  });
});

describe('the door lets a job through', () => {
  it('whose states are not in the order of their dates, since a clock may be set back', () => {
    const { states } = fullJob();
    const job = fullJob('job-1', { states: states.toReversed() });
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
  });
});
