/** The exposure meter on paper: each point overleaf with the source of its light, the advice on page 1. */

import { meterResult } from '../judge/exposure-meter.ts';
import { meterAdviceHeading, meterErrorWords, meterSentences } from '../judge/exposure-meter-sentences.ts';
import type { MeterPoint, MeterTest } from '../judge/meter-test.ts';
import { thirdsInStops } from '../judge/thirds.ts';
import { signedStops } from '../judge/verdict-words.ts';
import { shutterFraction } from '../measure/shutter-fraction.ts';
import type { Job } from '../record/job.ts';
import type { CertificateTable } from './certificate.ts';
import { DASH } from './stops-text.ts';

const tested = ({ meter }: Pick<Job, 'meter'>): MeterTest | null =>
  meter === null || meter.points.length === 0 ? null : meter;

export const meterTested = (job: Pick<Job, 'meter'>): boolean => tested(job) !== null;

/** No table without a point. */
export function meterTables(job: Job): readonly CertificateTable[] {
  const meter = tested(job);
  if (meter === null) return [];
  const { constant, iso, notation } = meter;
  const result = meterResult(meter);
  const right = (head: string) => ({ head, align: 'right' }) as const;
  const rows = meter.points.map((point, index): readonly string[] => {
    const { expected, read, error } = result.points[index]!;
    return [
      String(Number(point.light.toPrecision(6))),
      expected.toFixed(2),
      readingWords(point),
      read.toFixed(2),
      signedStops(error),
      point.note.trim() || DASH,
    ];
  });
  return [
    {
      heading: 'Exposure meter',
      columns: [
        right(constant.kind === 'K' ? 'Light, cd/m²' : 'Light, lx'),
        right('Expected, EV'),
        right('Read'),
        right('Read, EV'),
        right('Error, EV'),
        { head: 'Note', align: 'left' },
      ],
      rows: rows.map((cells) => cells.map(withMinus)),
      notes: [
        [
          `Film speed ISO ${iso}, ${constant.kind} = ${constant.value} (ISO 2720).`,
          ...(notation === 'needle mark' ? ['Read at the setting at which the needle meets its mark.'] : []),
          ...(meter.cell === 'not stated' ? [] : [`Cell: ${meter.cell}.`]),
          ...(meter.battery === null ? [] : [`Battery: ${meter.battery} V.`]),
          'Error: + reads too high, so that film gets too little light.',
        ].join(' '),
        ...meterSentences(meter, result),
      ],
    },
  ];
}

const withMinus = (text: string) => text.replace(/^-(?=\d)/, '−');

function readingWords({ reading }: MeterPoint): string {
  if ('ev' in reading) return `EV ${withMinus(String(reading.ev))}`;
  return `f/${reading.fNumber}, ${shutterFraction(reading.seconds)}`;
}

/** For the customer. */
export function meterSummary(job: Job): readonly string[] {
  const meter = tested(job);
  if (meter === null) return [];
  const { advice, mean, correctionThirds } = meterResult(meter);
  const points = `${meter.points.length} ${meter.points.length === 1 ? 'point' : 'points'} of light`;
  const average = mean === null ? '' : `; on average it reads ${meterErrorWords(mean)}`;
  const correction =
    correctionThirds === 0
      ? ''
      : `: give ${thirdsInStops(correctionThirds)} ${correctionThirds < 0 ? 'more' : 'less'} exposure than it says`;
  return [`Exposure meter, at ${points}: ${lowerFirst(meterAdviceHeading(advice))}${correction}${average}.`];
}

const lowerFirst = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);
