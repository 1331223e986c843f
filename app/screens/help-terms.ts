/** What each figure means, in a few sentences, with the source of its definition where it has one. */

interface TermText {
  readonly name: string;
  readonly text: readonly string[];
  readonly source?: string;
}

const MEANINGS = {
  'effective-time': {
    name: 'Effective time',
    text: [
      'The time for which a shutter that opens and closes at once would have to stand open to let the same light through: the area under the light curve, divided by the light of the fully open shutter.',
      'It is the figure that film answers to, and the one that is judged here. Light after closing is left out of it and given beside it.',
    ],
    source: 'Defined as in ISO 516.',
  },
  'half-height': {
    name: 'Half-height time',
    text: [
      'From half open to half closed. It equals the effective time only if opening and closing are alike and even; where the two differ, the blades open and close unlike each other.',
    ],
  },
  'total-open-time': {
    name: 'Total open time',
    text: [
      'From the first light to the last, at a low threshold that stands beside it. Always longer than the effective time of a leaf shutter.',
    ],
    source: 'Defined as in ISO 516.',
  },
  efficiency: {
    name: 'Efficiency',
    text: [
      'Effective time divided by total open time: the share of the open time that counts fully. It falls as the speed rises, since opening and closing take the same time at every mark. A low value at a fast mark may point to blades that move slowly.',
    ],
    source: 'Defined as in ISO 516.',
  },
  opening: {
    name: 'Opening and closing',
    text: ['How long the light takes from 10 % to 90 % of full opening, and back from 90 % to 10 %.'],
    source: 'Transition durations as in IEEE Std 181.',
  },
  rebound: {
    name: 'Light after closing',
    text: [
      'A bump of light soon after closing is a rebound: the blades have sprung open again. A glow that stays means a blade that is not shut. Either is told as a share of the exposure and left out of the times.',
    ],
  },
  ev: {
    name: 'EV, stop',
    text: [
      'A factor of two in exposure. +1 EV is twice the light, −1 EV half of it. A third of a stop is a factor of 1.26.',
    ],
    source: 'The additive system of exposure values (APEX).',
  },
  error: {
    name: 'Error',
    text: [
      'How far a time lies from its mark, in EV: the base-2 logarithm of the measured time divided by the mark’s. Plus means longer than marked (slow, more exposure), minus shorter (fast).',
      'The job says whether 1/60 stands for 1/60 s as engraved or for 1/64 s of the exact doubling series.',
    ],
  },
  mean: {
    name: 'Mean',
    text: [
      'The mean of the firings that count, taken in EV: the geometric mean of their times. Half a stop slow and half a stop fast then cancel each other.',
    ],
  },
  sd: {
    name: 'SD, spread',
    text: [
      'The standard deviation of the firings, in EV: how much one firing differs from the next. About two of three lie within one SD of the mean.',
      'With few firings it is itself poorly known: look at the interval beside it.',
    ],
  },
  interval: {
    name: '95 % interval',
    text: [
      'A range made in such a way that it holds the true value in 95 of 100 cases. It narrows with more firings; with three it is wide.',
    ],
    source: 'Student t for the mean, chi-square for the SD.',
  },
  'next-shot': {
    name: 'Next-shot odds',
    text: [
      'The chance that the next firing at this mark falls within its band, judged by the firings so far. What a photographer feels: a shutter that is right on average but erratic has poor odds.',
    ],
    source: 'From the predictive t distribution of one further firing.',
  },
  conformity: {
    name: 'Conformity',
    text: [
      'The probability that the true mean of this mark lies within its band, seeing the uncertainty of the measurement. It says nothing about single firings.',
    ],
    source: 'JCGM 106:2012.',
  },
  uncertainty: {
    name: 'U, expanded uncertainty',
    text: [
      'The true mean error lies within ± U of the one given in about 95 of 100 cases. It holds the spread of the firings and what is known of the clock, the levels and the set-up; the budget shows each part.',
    ],
    source: 'JCGM 100:2008 (GUM).',
  },
  k: {
    name: 'k, coverage factor',
    text: [
      'What the standard uncertainty is multiplied by to give U. It is about 2, and larger with few firings, since the uncertainty itself is then poorly known.',
    ],
    source: 'JCGM 100:2008 (GUM), effective degrees of freedom after Welch and Satterthwaite.',
  },
  budget: {
    name: 'Uncertainty budget',
    text: [
      'What the uncertainty is made of, a line for each source, with its size and where it comes from. The largest line tells what is worth improving.',
    ],
    source: 'JCGM 100:2008 (GUM).',
  },
  band: {
    name: 'Band',
    text: [
      'How far from its mark a speed may lie and still be called within. It is chosen for each job; the presets are common practice and come from no standard.',
    ],
  },
  rule: {
    name: 'Decision rule',
    text: [
      'Simple acceptance: the mean error itself must lie within the band. Guard band: it must lie within by at least U, so that a pass is hardly ever wrong; in between it is a conditional pass or fail.',
    ],
    source: 'ILAC-G8:09/2019.',
  },
  erratic: {
    name: 'Repeats, erratic',
    text: [
      'A second statement beside the verdict: whether the SD of the firings stays within its limit. A speed that is off but repeats can be used with a card; one that is erratic can’t.',
    ],
  },
  'reference-level': {
    name: 'Reference open level',
    text: [
      'The light of the fully open shutter, known from a slow firing or a light check. At fast marks the blades may never stand fully open, and the effective time can only be told against this level. It ends when light or set-up change.',
    ],
  },
  'after-rest': {
    name: 'First after a rest',
    text: [
      'The first firing after some minutes is kept apart from the mean: old grease often makes it long. Say so if the shutter was exercised before it, and it counts.',
    ],
  },
  spoilt: {
    name: 'Spoilt firing',
    text: [
      'Data was lost while it ran, or the record misses its start or end. It is kept and shown, and never counted.',
    ],
  },
  stages: {
    name: 'As found, trials, after rest, as left',
    text: [
      'The stages of a job. As found is the camera as it came, before anything was done; trials are readings between adjustments; after rest is some hours or days later; as left is how it goes home. As found and as left stand on the papers.',
    ],
    source: 'As found and as left: terms of calibration, ISO/IEC 17025.',
  },
  'x-margin': {
    name: 'X margin',
    text: [
      'For X the contact must close when the shutter is near full opening, and the flash must be over before the blades begin to close. The margin is the time left between the end of the flash and the start of closing; below zero, part of the flash is lost.',
      'Never connect a flash unit to the contact lead.',
    ],
  },
  'm-lead': {
    name: 'M lead',
    text: [
      'For M the contact closes before the blades open, so that a flash bulb has time to burn up. The lead is the time from the closing of the contact to 80 % open. One maker’s guide gives 13 to 19 ms.',
      'An M setting used with the self-timer can jam some shutters.',
    ],
  },
  bounce: {
    name: 'Contact bounce',
    text: [
      'The contact opens and closes again for a moment after it first closed. A flash may fire twice, or not at all if the contact is worn.',
    ],
  },
  'self-timer': {
    name: 'Self-timer',
    text: [
      'From the release to the first light, over several runs. 8 to 12 seconds are usual (common practice, no source); a large spread means that its train hesitates.',
    ],
  },
  'meter-ev': {
    name: 'Meter: EV, K and C',
    text: [
      'The exposure value that a meter should read follows from the light, the film speed and a constant: K for light that comes from the subject (cd/m²), C for light that falls on it (lux). Makers use different constants, so state the one that belongs to the camera.',
    ],
    source: 'ISO 2720.',
  },
  clock: {
    name: 'Clock check, ppm',
    text: [
      'The board’s clock is compared with the computer’s. 1000 ppm is one part in a thousand, 0.0014 EV. What is found is taken out of the times, with its uncertainty in the budget.',
    ],
  },
  'light-check': {
    name: 'Light check',
    text: [
      'Looks at darkness, noise, brightness, flicker and drift before anything is fired, and says what to change.',
    ],
  },
  'reference-light': {
    name: 'Reference light',
    text: [
      'A lamp on the board gives pulses of exactly known length. Reading them back tests sensor, amplifier and evaluation, but not the clock, which both share.',
    ],
  },
  'iris-check': {
    name: 'Iris check',
    text: [
      'The same mark is fired wide open and one stop down. From the difference it can be told whether the whole opening is lit and seen, which is often the largest error of all.',
    ],
  },
  'stopped-down': {
    name: 'Stopped down',
    text: [
      'A small iris is uncovered sooner and covered later than a large one, so that a leaf shutter exposes longer when stopped down. Worked out from the recorded curve; an upper estimate.',
    ],
  },
  findings: {
    name: 'Findings',
    text: [
      'Patterns in the readings and what they often come from. A finding suggests where to look first; it proves nothing. Inspect and clean before anything is adjusted.',
    ],
  },
  programme: {
    name: 'Programme',
    text: [
      'Which speeds are fired in which order, and how often each. The bench follows it and goes on to the next speed by itself.',
    ],
  },
  'working-speeds': {
    name: 'Working speeds card',
    text: [
      'A small card for the camera case: what each mark really gives, and what to set instead, to the nearest third of a stop.',
    ],
  },
  'data-file': {
    name: 'Data file, SHA-256',
    text: [
      'A paper can carry its readings as an attached file. The SHA-256 printed on it is a fingerprint of that file: if a single figure were changed, the fingerprint would differ. The Papers screen checks it.',
    ],
    source: 'FIPS 180-4.',
  },
} as const satisfies Readonly<Record<string, TermText>>;

export type TermId = keyof typeof MEANINGS;

export const TERMS: readonly ({ readonly id: TermId } & TermText)[] = (
  Object.entries(MEANINGS) as [TermId, TermText][]
).map(([id, meaning]) => ({ id, ...meaning }));
