/** Checks of the instrument made during the job: the latest of each kind at each stage. */

import type { ContactLeadResult } from '../judge/camera-checks.ts';
import type { IrisCheckResult } from '../judge/iris-check-result.ts';
import { signed, signedStops } from '../judge/verdict-words.ts';
import type { LightCheckResult, ReferenceLightResult } from '../measure/light-check-result.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import { type Check, type Job, PAPER_STAGES } from '../record/job.ts';
import type { CertifiedFiring, Section } from './certificate.ts';
import { type Calendar, momentOf } from './dates.ts';
import { capitalised } from './firing-notes.ts';
import type { StageResult } from './stage-results.ts';

const KINDS: readonly { readonly kind: Check['kind']; readonly words: string }[] = [
  { kind: 'light', words: 'light check' },
  { kind: 'reference light', words: 'reference light' },
  { kind: 'iris', words: 'wide open against one stop down' },
  { kind: 'contact lead', words: 'contact lead' },
];

/** Of the papers' stages that were read it is also said which checks were not made. */
export function checksSection(job: Job, stages: readonly StageResult[], calendar: Calendar): Section {
  const items = stages.flatMap(({ stage, firings, taken }) => {
    const latest = KINDS.map(({ kind, words }) => ({
      kind,
      words,
      check: job.checks.findLast((check) => check.kind === kind && check.stage === stage),
    }));
    const told = taken && PAPER_STAGES.some((one) => one === stage);
    const missing = latest.flatMap(({ kind, words, check }) =>
      told && check === undefined && kind !== 'contact lead' ? [words] : [],
    );
    return [
      ...latest.flatMap(({ words, check }) =>
        check === undefined
          ? []
          : [`${capitalised(stage)}, ${words}, ${momentOf(check.at, calendar)}: ${resultWords(check)}.`],
      ),
      ...geometryContradicted(firings, latest.find(({ check }) => check?.kind === 'iris')?.check),
      ...(missing.length === 0 ? [] : [`${capitalised(stage)}, not made: ${missing.join('; ')}.`]),
    ];
  });
  return { heading: 'Checks of the instrument', paragraphs: items.length === 0 ? ['None.'] : [], items };
}

/** U allows nothing for the geometry where the whole opening is stated to be seen: a check that says otherwise is not passed over. */
function geometryContradicted(
  firings: readonly CertifiedFiring[],
  check: Check | undefined,
): readonly string[] {
  if (check?.kind !== 'iris' || check.result.outcome !== 'part of the opening used') return [];
  if (!firings.some(({ setUp }) => setUp.seenShare === 1)) return [];
  return [
    `${capitalised(check.stage)}: this contradicts the statement that the whole opening is lit and seen. Times may read too long by more than U, which allows nothing for it.`,
  ];
}

function resultWords(check: Check): string {
  switch (check.kind) {
    case 'light':
      return lightWords(check.result);
    case 'reference light':
      return referenceLightWords(check.result);
    case 'iris':
      return irisWords(check.result);
    case 'contact lead':
      return contactLeadWords(check.result);
  }
}

function lightWords(result: LightCheckResult): string {
  const { dark, noise, height, heightUncertainty, headroom, flicker, drift, problems } = result;
  const verdict = problems.length === 0 ? 'passed' : `problem (${problems.join(', ')})`;
  const expanded = 2 * heightUncertainty;
  // A level to the place of its uncertainty: many samples know it to a hundredth of a step.
  const digits = expanded < 0.095 ? 2 : 1;
  const figures = [
    `dark ${dark.toFixed(1)} steps`,
    `noise ${noise.toFixed(2)}`,
    `open ${height.toFixed(digits)} ± ${Math.max(expanded, 0.01).toFixed(digits)} above dark (k = 2)`,
    `${(100 * headroom).toFixed(0)} % of the range left`,
    flicker === null
      ? 'no flicker seen'
      : `flicker ±${(100 * flicker.amplitude).toFixed(1)} % at ${flicker.hertz} Hz`,
    drift === null
      ? 'drift not known'
      : `drift ${signed(100 * drift.perMinute, 2)} ± ${(200 * drift.uncertainty).toFixed(2)} % a minute (k = 2)`,
  ];
  return `${verdict}; ${figures.join(', ')}`;
}

function referenceLightWords({ pulses, limit, passed }: ReferenceLightResult): string {
  const allowed = `±(${microseconds(limit.seconds)} µs + ${Number((100 * limit.share).toPrecision(2))} %)`;
  const errors = pulses.map(
    ({ length, error, within }) =>
      `${timeText(length)} ${signed(1e6 * error, 1)} µs${within ? '' : ' (beyond)'}`,
  );
  return `${passed ? 'passed' : 'not passed'}; mean error at each length of pulse: ${errors.join(', ')}; limit ${allowed} (tests sensor, amplifier and analysis, not the clock, which pulses and readings share)`;
}

function contactLeadWords({ state, closures, bounces, seconds }: ContactLeadResult): string {
  const counted = (n: number, what: string) => `${n} ${what}${n === 1 ? '' : 's'}`;
  return `${state}; ${counted(closures, 'closure')} and ${counted(bounces, 'bounce')} in ${seconds.toFixed(0)} s, worked by hand`;
}

const microseconds = (time: number) => String(Number((1e6 * time).toPrecision(3)));

function irisWords(result: IrisCheckResult): string {
  const { mark, firingsOpen, firingsStopped, expected, found, interval, lightShare, outcome } = result;
  return `${outcome}; ${mark}, ${firingsOpen} firings wide open, ${firingsStopped} one stop down: time changed by ${signedStops(found)} EV (95 %: ${signedStops(interval.lower)} to ${signedStops(interval.upper)}), ${signedStops(expected)} expected with the whole opening, light ${(100 * lightShare).toFixed(0)} %`;
}
