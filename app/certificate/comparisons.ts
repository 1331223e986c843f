/** How the shutter stood, how it was lit and seen, and what it was read with, as found beside as left. */

import type { SetUp } from '../judge/set-up.ts';
import { signed } from '../judge/verdict-words.ts';
import { availableBandwidth, shortestTotal } from '../measure/detector-bandwidth.ts';
import type { Assembly, BoardIdentity, Job, PaperStage, StageId } from '../record/job.ts';
import type { CertifiedFiring, Comparison } from './certificate.ts';
import type { StageResult } from './stage-results.ts';
import { DASH } from './stops-text.ts';

const NOT_STATED = 'not stated';
const stated = (text: string) => text.trim() || NOT_STATED;

interface StateRow<State> {
  readonly label: string;
  readonly words: (state: State) => string;
  /** A circumstance rather than a state that makes readings unlike. */
  readonly aside?: true;
}

const ASSEMBLY_ROWS: readonly StateRow<Assembly>[] = [
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
    aside: true,
  },
];

const SET_UP_ROWS: readonly StateRow<SetUp>[] = [
  { label: 'Light', words: (s) => s.light },
  { label: 'Sensor', words: (s) => s.sensor },
  { label: 'Opening lit and seen', words: seenWords },
  {
    label: 'Linearity',
    words: (s) => (s.linearity === null ? NOT_STATED : `±${percent(s.linearity)} of the time, as stated`),
    aside: true,
  },
  { label: 'Note', words: (s) => s.note.trim() || DASH, aside: true },
];

function seenWords({ seenShare }: SetUp): string {
  if (seenShare === null) return NOT_STATED;
  return seenShare === 1
    ? 'the whole of it, as stated'
    : `at least ${percent(seenShare)} of its area, as stated`;
}

const kilohertz = (hertz: number) => `${Number((hertz / 1000).toPrecision(3))} kHz`;
const percent = (share: number) => `${Number((100 * share).toPrecision(3))} %`;

/** How the shutter stood. */
export const assemblyComparison = (job: Job, found: StageResult, left: StageResult): Comparison =>
  stateComparison('State and conditions', ASSEMBLY_ROWS, [found, left], {
    ofFiring: (firing) => firing.assembly,
    ofStage: (stage) => job.stages[stage].assembly,
  });

/** How light and sensor stood. */
export const setUpComparison = (job: Job, found: StageResult, left: StageResult): Comparison =>
  stateComparison('Light and sensor', SET_UP_ROWS, [found, left], {
    ofFiring: (firing) => firing.setUp,
    ofStage: (stage) => job.stages[stage].setUp,
  });

/**
 * Each firing says itself how things stood; where they differ within a stage, every state is named. A stage of
 * outcomes alone has the state the job gives.
 */
function stateComparison<State>(
  heading: string,
  rows: readonly StateRow<State>[],
  [found, left]: readonly [StageResult, StageResult],
  state: {
    readonly ofFiring: (firing: CertifiedFiring) => State;
    readonly ofStage: (stage: StageId) => State;
  },
): Comparison {
  const words = (result: StageResult, say: (state: State) => string) => {
    if (!result.taken) return [DASH];
    if (result.firings.length === 0) return [say(state.ofStage(result.stage))];
    return [...new Set(result.firings.map((firing) => say(state.ofFiring(firing))))];
  };
  const labels = (differ: (row: StateRow<State>) => boolean) =>
    rows
      .filter((row) => !row.aside && differ(row))
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
  return {
    heading,
    rows: rows.map(({ label, words: say }) => ({
      label,
      stages: { 'as found': words(found, say).join('; '), 'as left': words(left, say).join('; ') },
    })),
    notes: [...mixed, ...between],
  };
}

/** How the shutter stood at one stage, as far as it is stated: 'Shutter mounted: bare; …'. Empty if nothing is. */
export function stateWords(job: Job, { stage, firings }: StageResult): string {
  const states = firings.length === 0 ? [job.stages[stage].assembly] : firings.map((one) => one.assembly);
  return ASSEMBLY_ROWS.flatMap(({ label, words }) => {
    const said = [...new Set(states.map(words))].filter((one) => one !== NOT_STATED);
    return said.length === 0 ? [] : [`${label}: ${said.join(', then ')}`];
  }).join('; ');
}

export function instrumentComparison(found: StageResult, left: StageResult): Comparison {
  const row = (label: string, words: (result: StageResult) => string) => ({
    label,
    stages: { 'as found': words(found), 'as left': words(left) } satisfies Record<PaperStage, string>,
  });
  const board = (label: string, words: (board: BoardIdentity) => string) =>
    row(label, (result) => distinct(result.firings.map((firing) => words(firing.board))));
  const rows = [
    board('Board', (b) => (b.practice ? `${stated(b.board)}, practice (simulated)` : stated(b.board))),
    board('Board serial number', (b) => b.serial.trim() || 'none set'),
    board('Firmware', (b) => stated(b.firmware)),
    board('Firmware image, CRC-32', (b) => stated(b.image)),
    board('Wire protocol', (b) => String(b.protocol)),
    row('Sampling', (result) => distinct(result.firings.map(samplingWords))),
    row('Measuring code', (result) =>
      distinct(result.firings.map((firing) => `version ${firing.measuringVersion}`)),
    ),
    row('Clock of the board', (result) => clockWords(result.firings)),
  ];
  return { heading: 'Instrument', rows, notes: [] };
}

/** The rate, the sensor's bandwidth, and from which total open time on shapes are to standard by both (ISO 516: 100 / t0). */
function samplingWords({ firing: { tickHz, ticksPerSample }, setUp }: CertifiedFiring): string {
  if (ticksPerSample === 0) return 'none: the board times edges';
  const rate = tickHz / ticksPerSample;
  const bandwidth = availableBandwidth(1 / rate, setUp.bandwidthHz ?? Number.POSITIVE_INFINITY);
  const shortest = 1000 * shortestTotal(bandwidth);
  const sensor = setUp.bandwidthHz === null ? 'not stated' : `${kilohertz(setUp.bandwidthHz)} as stated`;
  return `${(rate / 1000).toFixed(2)} kS/s, sensor ${sensor}; shapes to ISO 516 from ${shortest.toFixed(1)} ms`;
}

/** The clock check goes on while the board is connected, so that its result is hardly twice the same. */
function clockWords(firings: readonly CertifiedFiring[]): string {
  const corrections = firings.flatMap(({ clockCorrection }) => clockCorrection ?? []);
  const unchecked = firings.length - corrections.length;
  const nominal = 'nominal, no clock check: the limits of a ceramic resonator apply';
  if (corrections.length === 0) return firings.length === 0 ? DASH : nominal;
  const ppm = corrections.map((correction) => correction.ppm);
  const observed = corrections.map(({ observedSeconds }) => observedSeconds);
  const uncertainty = Math.max(...corrections.map((correction) => correction.uncertainty));
  const checked = `compared with the computer's over ${span(observed, (s) => s.toFixed(0))} s; its error of ${span(ppm, (p) => signed(p, 1))} ppm taken out, standard uncertainty up to ${uncertainty.toFixed(1)} ppm`;
  return unchecked === 0 ? checked : `${checked}; for ${unchecked} of ${firings.length} firings ${nominal}`;
}

function span(values: readonly number[], words: (value: number) => string): string {
  const least = words(Math.min(...values));
  const most = words(Math.max(...values));
  return least === most ? least : `${least} to ${most}`;
}

/** Each different string once, in order; a dash when there is none. */
const distinct = (words: readonly string[]) => (words.length === 0 ? DASH : [...new Set(words)].join('; '));
