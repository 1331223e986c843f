import { readFileSync } from 'node:fs';
import type * as v from 'valibot';
import { describe, expect, expectTypeOf, it } from 'vitest';
import { type FiringRow, joinFiring, splitFiring } from '../../app/record/firing-row.ts';
import type { firingRowSchema } from '../../app/record/firing-schema.ts';
import type { Job, Picture, Workshop } from '../../app/record/job.ts';
import type { jobSchema, jobSummarySchema } from '../../app/record/job-schema.ts';
import { type JobSummary, summaryOf } from '../../app/record/job-summary.ts';
import type { pictureSchema } from '../../app/record/picture-schema.ts';
import type { KnownBoard, Preferences } from '../../app/record/preferences.ts';
import { openEnvelope, RECORD_SOURCE, RECORD_VERSION, sealEnvelope } from '../../app/record/schema.ts';
import type {
  knownBoardSchema,
  preferencesSchema,
  workshopSchema,
} from '../../app/record/settings-schema.ts';
import { seconds } from '../../firmware-protocol/units.ts';
import { thrownRecordError } from './record-under-test.ts';
import {
  fullJob,
  sampleBoard,
  samplePicture,
  samplePreferences,
  sampleWorkshop,
} from './sample-job-parts.ts';
import { bareFiring, sampleFiring, sampleJob } from './sample-records.ts';

/** What a field may hold, without regard to readonly. */
type Loose<T> = T extends number | string | boolean | null | undefined
  ? T
  : { -readonly [Key in keyof T]: Loose<T[Key]> };

describe('the door', () => {
  it('has a schema for every field of the contract types', () => {
    // Checked by the type checker: a field added on one side only doesn't compile.
    expectTypeOf<Loose<v.InferOutput<typeof jobSchema>>>().toEqualTypeOf<Loose<Job>>();
    expectTypeOf<Loose<v.InferOutput<typeof firingRowSchema>>>().toEqualTypeOf<Loose<FiringRow>>();
    expectTypeOf<Loose<v.InferOutput<typeof pictureSchema>>>().toEqualTypeOf<Loose<Picture>>();
    expectTypeOf<Loose<v.InferOutput<typeof workshopSchema>>>().toEqualTypeOf<Loose<Workshop>>();
    expectTypeOf<Loose<v.InferOutput<typeof preferencesSchema>>>().toEqualTypeOf<Loose<Preferences>>();
    expectTypeOf<Loose<v.InferOutput<typeof knownBoardSchema>>>().toEqualTypeOf<Loose<KnownBoard>>();
    expectTypeOf<Loose<v.InferOutput<typeof jobSummarySchema>>>().toEqualTypeOf<Loose<JobSummary>>();
  });

  it('lets sound records through unchanged', () => {
    for (const record of [sampleFiring(), bareFiring()]) {
      const { row, samples } = splitFiring(record);
      const opened = openEnvelope('firing', sealEnvelope('firing', row));
      expect(joinFiring(opened, samples)).toEqual(record);
    }
    const job = fullJob();
    expect(openEnvelope('job', sealEnvelope('job', job))).toEqual(job);
    const summary = summaryOf(job);
    expect(openEnvelope('job summary', sealEnvelope('job summary', summary))).toEqual(summary);
    const picture = samplePicture();
    expect(openEnvelope('picture', sealEnvelope('picture', picture))).toEqual(picture);
    expect(openEnvelope('workshop', sealEnvelope('workshop', sampleWorkshop))).toEqual(sampleWorkshop);
    const preferences = samplePreferences;
    expect(openEnvelope('preferences', sealEnvelope('preferences', preferences))).toEqual(preferences);
    expect(openEnvelope('known board', sealEnvelope('known board', sampleBoard()))).toEqual(sampleBoard());
    expect(openEnvelope('open job', sealEnvelope('open job', { id: 'a' }))).toEqual({ id: 'a' });
  });

  it('survives JSON, as files will need', () => {
    const envelope = JSON.parse(JSON.stringify(sealEnvelope('job', fullJob())));
    expect(openEnvelope('job', envelope)).toEqual(fullJob());
  });

  it('names the program in its envelopes', () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect(RECORD_SOURCE).toBe(`leafclock ${version}`);
    expect(sealEnvelope('job', sampleJob())).toMatchObject({
      type: 'leafclock job',
      version: RECORD_VERSION,
      source: RECORD_SOURCE,
    });
  });

  it('refuses to seal what it could not open again, with the place', () => {
    const { row } = splitFiring(sampleFiring());
    const bad: FiringRow = { ...row, figures: { ...row.figures, effective: seconds(NaN) } };
    const error = thrownRecordError(() => sealEnvelope('firing', bad));
    expect(error.kind).toBe('refused');
    expect(error.path).toBe('figures.effective');
    expect(error.message).toContain('figures.effective');
  });

  it.each([undefined, null, 3, 'x', [], {}, { type: 'leafclock job', version: 0, source: '', data: {} }])(
    'refuses %j as an envelope',
    (envelope) => {
      expect(thrownRecordError(() => openEnvelope('job', envelope)).kind).toBe('damaged');
    },
  );

  it('refuses one kind of record in place of another', () => {
    const error = thrownRecordError(() => openEnvelope('firing', sealEnvelope('job', sampleJob())));
    expect(error).toMatchObject({ kind: 'damaged', path: 'type' });
    expect(error.message).toContain('leafclock job');
  });

  it('refuses a newer record by name, before looking into it', () => {
    const newer = {
      type: 'leafclock job',
      version: RECORD_VERSION + 1,
      source: 'leafclock 9.2.0',
      data: 'of a shape unknown here',
    };
    const error = thrownRecordError(() => openEnvelope('job', newer));
    expect(error.kind).toBe('newer record');
    expect(error.message).toContain('leafclock 9.2.0');
    expect(error.message).toContain(`version ${RECORD_VERSION + 1}`);
  });
});
