/**
 * The one door for stored and foreign data: what the database holds, what a file brings and what recovery
 * finds all pass through openEnvelope, and everything that is kept was checked by sealEnvelope.
 */
import * as v from 'valibot';
import { firingRowSchema } from './firing-schema.ts';
import { jobSchema, jobSummarySchema } from './job-schema.ts';
import type { Migration } from './migration.ts';
import { MIGRATIONS, migrate, versionAfter } from './migrations.ts';
import { pictureSchema } from './picture-schema.ts';
import { RecordError } from './record-error.ts';
import type { RecordType, RecordTypes } from './record-types.ts';
import { knownBoardSchema, openJobSchema, preferencesSchema, workshopSchema } from './settings-schema.ts';

export interface Envelope {
  readonly type: `leafclock ${RecordType}`;
  readonly version: number;
  /** The program that wrote it, with its version. */
  readonly source: string;
  readonly data: unknown;
}

/** Of all records together; a migration leads from each version to the next. */
export const RECORD_VERSION = versionAfter(MIGRATIONS);

/** As in package.json; a test compares them. */
export const RECORD_SOURCE = 'leafclock 0.1.0';

const SCHEMAS: { readonly [Type in RecordType]: v.GenericSchema<unknown, RecordTypes[Type]> } = {
  job: jobSchema,
  firing: firingRowSchema,
  picture: pictureSchema,
  workshop: workshopSchema,
  preferences: preferencesSchema,
  'known board': knownBoardSchema,
  'open job': openJobSchema,
  'job summary': jobSummarySchema,
};

/** A sealed envelope has no fields of its own besides these; the database adds its keys outside. */
const envelopeSchema = v.object({
  type: v.string(),
  version: v.pipe(v.number(), v.safeInteger(), v.minValue(1)),
  source: v.string(),
  data: v.unknown(),
});

/**
 * Checks a record and puts it in its envelope.
 *
 * @throws RecordError 'refused' with the reason and the path, before anything is written.
 */
export function sealEnvelope<Type extends RecordType>(type: Type, data: RecordTypes[Type]): Envelope {
  return {
    type: `leafclock ${type}`,
    version: RECORD_VERSION,
    source: RECORD_SOURCE,
    data: checked(type, data, 'refused'),
  };
}

/**
 * Opens an envelope of any version up to the present one.
 *
 * @throws RecordError 'newer record', naming the program that wrote it, or 'damaged' with reason and path.
 */
export function openEnvelope<Type extends RecordType>(
  type: Type,
  envelope: unknown,
  migrations: readonly Migration[] = MIGRATIONS,
): RecordTypes[Type] {
  const outer = v.safeParse(envelopeSchema, envelope);
  if (!outer.success) throw faulty(`This ${type} record`, outer.issues[0], 'damaged');
  const { type: found, version, source, data } = outer.output;
  if (found !== `leafclock ${type}`) {
    throw new RecordError('damaged', `This is no ${type} record but “${found}”.`, { path: 'type' });
  }
  const current = versionAfter(migrations);
  if (version > current) {
    throw new RecordError(
      'newer record',
      `This ${type} was written by “${source}” as version ${version}; ${RECORD_SOURCE} reads up to version ` +
        `${current}. It was left as it is.`,
      { path: 'version' },
    );
  }
  return checked(type, migrated(type, data, version, migrations), 'damaged');
}

function migrated(
  type: RecordType,
  data: unknown,
  version: number,
  migrations: readonly Migration[],
): unknown {
  try {
    return migrate(type, data, version, migrations);
  } catch (error) {
    const message = `This ${type} of version ${version} can't be brought up to date.`;
    throw new RecordError('damaged', message, { cause: error });
  }
}

function checked<Type extends RecordType>(
  type: Type,
  data: unknown,
  kind: 'refused' | 'damaged',
): RecordTypes[Type] {
  const result = v.safeParse(SCHEMAS[type], data);
  if (!result.success) throw faulty(`This ${type} record`, result.issues[0], kind);
  return result.output as RecordTypes[Type];
}

function faulty(what: string, issue: v.BaseIssue<unknown>, kind: 'refused' | 'damaged'): RecordError {
  const path = v.getDotPath(issue);
  const where = path === null ? '' : ` at ${path}`;
  const state = kind === 'damaged' ? 'is damaged' : "can't be stored";
  return new RecordError(kind, `${what} ${state}${where}: ${issue.message}.`, path === null ? {} : { path });
}
