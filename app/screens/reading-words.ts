/** What a reading comes to, in a few words: for the bench, for tones and for speech alike. */
import type { Seconds, Stops } from '../../firmware-protocol/units.ts';
import { judgedTime, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import { bandVerdict } from '../judge/speed-verdict.ts';
import { sizeInStops } from '../judge/verdict-words.ts';
import type { RemarkCode } from '../measure/figures.ts';
import type { Job } from '../record/job.ts';
import { bandOf, speedOf } from './actions/marks.ts';
import type { Sign } from './glyphs.tsx';
import type { Reading } from './view.ts';

export type ReadingTone = 'within' | 'beyond' | 'quiet' | '';

export interface ReadingWords {
  /** How it ended, as tones and speech tell it. */
  readonly kind: 'within' | 'slow' | 'fast' | 'spoilt' | 'set aside' | 'not counted' | 'no reference';
  readonly sign: Sign;
  readonly words: string;
  readonly tone: ReadingTone;
  /** Null where none could be read. */
  readonly time: Seconds | null;
  /** Against the mark's reference; null without a time, and for B and T. */
  readonly error: Stops | null;
  /** What must be seen from afar beside the verdict. */
  readonly caveat: string | null;
}

const caveats: Partial<Record<RemarkCode, string>> = {
  rebound: 'light after closing',
  'glow after closing': 'light after closing',
  'light changed': 'the light changed',
  'low peak': 'low peak',
  'no open level': 'no open level',
};

export function readingWords(job: Job, reading: Reading): ReadingWords {
  const time = judgedTime(reading.figures);
  const speed = speedOf(job, reading.mark);
  const reference = speed && referenceTime(speed, job.referenceRule);
  const error = time !== null && reference ? errorInStops(time, reference) : null;
  const caveat =
    reading.figures.remarks.map(({ code }) => caveats[code]).find((is) => is !== undefined) ?? null;
  return { ...outcomeOf(job, reading, error), time, error, caveat };
}

function outcomeOf(
  job: Job,
  reading: Reading,
  error: Stops | null,
): Pick<ReadingWords, 'kind' | 'sign' | 'words' | 'tone'> {
  const why = whyNotCounted({ ...reading, firing: { spoilt: reading.spoilt } });
  if (reading.spoilt)
    return { kind: 'spoilt', sign: 'unwell', words: `spoilt: ${reading.spoilt}`, tone: 'beyond' };
  if (why === 'set aside') return { kind: 'set aside', sign: 'waiting', words: 'set aside', tone: 'quiet' };
  if (why === 'no time')
    return { kind: 'not counted', sign: 'unwell', words: 'no time could be read', tone: 'beyond' };
  if (why === 'time not valid')
    return { kind: 'not counted', sign: 'asks', words: 'not counted: see below', tone: 'beyond' };
  if (error === null)
    return { kind: 'no reference', sign: 'waiting', words: 'no time to compare with', tone: '' };
  const verdict = bandVerdict(error, bandOf(job, reading.mark));
  if (verdict === 'within') return { kind: verdict, sign: verdict, words: 'within its band', tone: 'within' };
  return { kind: verdict, sign: verdict, words: `${sizeInStops(error)} ${verdict}`, tone: 'beyond' };
}
