/** The firings of one mark in one stage as the results screen shows them. */
import type { Stops } from '../../firmware-protocol/units.ts';
import type { CertifiedFiring } from '../certificate/certificate.ts';
import { judgedTime, type NotCounted, whyNotCounted } from '../judge/counted-readings.ts';
import { errorInStops, referenceTime } from '../judge/error-in-stops.ts';
import type { MarkedSpeed, SpeedStatistics } from '../judge/verdict.ts';
import { notCountedWords, signedStops } from '../judge/verdict-words.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import type { Job } from '../record/job.ts';

export interface FiringLine {
  readonly firing: CertifiedFiring;
  readonly id: string;
  readonly ordinal: number;
  readonly time: number | null;
  /** Null without a time, or at a mark without one. */
  readonly error: Stops | null;
  readonly why: NotCounted | null;
  /** The one that lies suspiciously far out; it counts nevertheless. */
  readonly suspect: boolean;
}

export function firingLines(
  job: Job,
  firings: readonly CertifiedFiring[],
  speed: MarkedSpeed,
  { suspect }: SpeedStatistics,
): readonly FiringLine[] {
  const reference = referenceTime(speed, job.referenceRule);
  const lines = firings
    .filter(({ mark }) => mark === speed.label)
    .map((firing) => {
      const time = firing.firing.spoilt === null ? judgedTime(firing.figures) : null;
      const error = time === null || reference === null ? null : errorInStops(time, reference);
      return { firing, id: firing.id, ordinal: firing.ordinal, time, error, why: whyNotCounted(firing) };
    });
  const far = suspect === null ? null : extreme(lines, suspect === 'slowest' ? 1 : -1);
  return lines.map((line) => ({ ...line, suspect: line.id === far }));
}

/** Id of the counted firing with the longest (1) or shortest (−1) time. */
function extreme(lines: readonly Omit<FiringLine, 'suspect'>[], side: 1 | -1): string | null {
  let found: Omit<FiringLine, 'suspect'> | null = null;
  for (const line of lines)
    if (line.why === null && line.time !== null && (found === null || side * (line.time - found.time!) > 0))
      found = line;
  return found?.id ?? null;
}

/** What stands beside the figures of a firing: why it does not count, that it is suspect, its remarks. */
export function remarkWords({ firing, why, suspect }: FiringLine): string {
  return [
    why === null ? '' : why === 'set aside' ? `set aside: ${firing.setAside}` : notCountedWords(why),
    suspect ? 'suspiciously far out, counted' : '',
    ...firing.figures.remarks.map(({ code }) => code),
  ]
    .filter((part) => part !== '')
    .join(', ');
}

/** The firing in a sentence. */
export function firingSentence(line: FiringLine): string {
  const remarks = remarkWords(line);
  return [
    `firing ${line.ordinal}: ${line.time === null ? 'no time' : timeText(line.time)}`,
    line.error === null ? '' : `, ${signedStops(line.error)} EV`,
    remarks === '' ? '' : `; ${remarks}`,
  ].join('');
}
