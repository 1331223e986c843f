/** How the shutter stood and what it was read with, as found beside as left. */

import type { Assembly, BoardIdentity, Job, StageId } from '../record/job.ts';
import type { Comparison } from './certificate.ts';
import type { StageResult } from './stage-results.ts';
import { DASH } from './table-rows.ts';

const NOT_STATED = 'not stated';
const stated = (text: string) => text.trim() || NOT_STATED;

const ASSEMBLY_ROWS: readonly {
  readonly label: string;
  readonly words: (assembly: Assembly) => string;
  /** A condition of the day rather than a state of the camera. */
  readonly condition?: true;
}[] = [
  { label: 'Shutter mounted', words: (a) => a.mounting },
  { label: 'Lens cells', words: (a) => a.cells },
  { label: 'Iris', words: (a) => stated(a.iris) },
  {
    label: 'Released',
    words: (a) => (a.release === 'cable' || a.release === 'body' ? `by the ${a.release}` : a.release),
  },
  { label: 'Cocked', words: (a) => (a.cocking === 'not stated' ? a.cocking : `by the ${a.cocking}`) },
  { label: 'Attitude', words: (a) => stated(a.attitude) },
  {
    label: 'Temperature',
    words: (a) => (a.temperature === null ? NOT_STATED : `${a.temperature} °C`),
    condition: true,
  },
];

/**
 * Each firing says itself how the shutter stood; where they differ within a stage, every state is named. A
 * stage of outcomes alone has the state the job gives.
 */
export function assemblyComparison(job: Job, found: StageResult, left: StageResult): Comparison {
  const words = (result: StageResult, say: (assembly: Assembly) => string) => {
    if (!result.taken) return [DASH];
    if (result.firings.length === 0) return [say(job.stages[result.stage].assembly)];
    return [...new Set(result.firings.map((firing) => say(firing.assembly)))];
  };
  const rows = ASSEMBLY_ROWS.map(({ label, words: say }) => ({
    label,
    stages: {
      'as found': words(found, say).join('; '),
      'as left': words(left, say).join('; '),
    },
  }));
  const states = ASSEMBLY_ROWS.filter(({ condition }) => !condition);
  const labels = (differ: (row: (typeof states)[number]) => boolean) =>
    states
      .filter(differ)
      .map(({ label }) => label.toLowerCase())
      .join(', ');
  const mixed = [found, left].flatMap((result) => {
    const which = labels(({ words: say }) => words(result, say).length > 1);
    return which === ''
      ? []
      : [
          `Readings ${result.stage} were taken in more than one state (${which}): they are not wholly comparable.`,
        ];
  });
  const unlike = labels(
    ({ words: say }) => words(found, say).toSorted().join() !== words(left, say).toSorted().join(),
  );
  const between =
    found.taken && left.taken && unlike !== ''
      ? [
          `As found and as left were read in unlike states (${unlike}): a difference between the two columns need not come from the work alone.`,
        ]
      : [];
  return { heading: 'State and conditions', rows, notes: [...mixed, ...between] };
}

export function instrumentComparison(found: StageResult, left: StageResult): Comparison {
  const row = (label: string, words: (result: StageResult) => string) => ({
    label,
    stages: { 'as found': words(found), 'as left': words(left) } satisfies Record<StageId, string>,
  });
  const board = (label: string, words: (board: BoardIdentity) => string) =>
    row(label, (result) => distinct(result.firings.map((firing) => words(firing.board))));
  const rows = [
    board('Board', (b) => (b.practice ? `${stated(b.board)}, practice (simulated)` : stated(b.board))),
    board('Board serial number', (b) => b.serial.trim() || 'none set'),
    board('Firmware', (b) => stated(b.firmware)),
    board('Firmware image, CRC-32', (b) => stated(b.image)),
    board('Wire protocol', (b) => String(b.protocol)),
    row('Measuring code', (result) =>
      distinct(result.firings.map((firing) => `version ${firing.measuringVersion}`)),
    ),
    row('Clock of the board', (result) =>
      distinct(
        result.firings.map(({ clockCorrection }) =>
          clockCorrection === null
            ? 'nominal, not checked'
            : `corrected by ${partsPerMillion(clockCorrection)}`,
        ),
      ),
    ),
  ];
  return { heading: 'Instrument', rows, notes: [] };
}

const partsPerMillion = (ppm: number) => `${ppm < 0 ? '−' : '+'}${Math.abs(ppm).toFixed(1)} ppm`;

/** Each different string once, in order; a dash when there is none. */
const distinct = (words: readonly string[]) => (words.length === 0 ? DASH : [...new Set(words)].join('; '));
