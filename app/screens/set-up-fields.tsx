import { useState } from 'preact/hooks';
import type { SetUp } from '../judge/set-up.ts';
import { availableBandwidth, shortestTotal } from '../measure/detector-bandwidth.ts';
import type { Job, StageId } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftArea, DraftField } from './draft-field.tsx';
import { numberIn } from './mark-fields.tsx';
import { useView } from './view.ts';

const LIGHTS: readonly SetUp['light'][] = ['not stated', 'broad and even', 'near-parallel', 'small lamp'];
const SENSORS: readonly SetUp['sensor'][] = [
  'not stated',
  'at the film plane',
  'close to the shutter',
  'narrow opening at the curtain',
];

/** The geometry step: what is lit, what is seen. Usually the largest error, and only the user knows it. */
export function SetUpFields({ job, stage }: { job: Job; stage: StageId }) {
  const [problem, setProblem] = useState('');
  const { setUp } = job.stages[stage];
  const change = (part: Partial<SetUp>, words: string) =>
    changeJob(
      (j) => ({
        ...j,
        stages: {
          ...j.stages,
          [stage]: { ...j.stages[stage], setUp: { ...j.stages[stage].setUp, ...part } },
        },
      }),
      `${words} ${stage}`,
    );
  /** Percent as the user writes it, a share as it is kept; an empty field takes the statement back. */
  const percent = (key: 'seenShare' | 'linearity', text: string, most: number, words: string) => {
    const none = text.trim() === '';
    const value = numberIn(text) / 100;
    const sound = none || (value >= 0 && value <= most && (key === 'linearity' || value > 0));
    setProblem(sound ? '' : `${words} must lie between 0 and ${100 * most} %, or be empty for not stated.`);
    if (sound) change({ [key]: none ? null : value }, words);
  };
  const bandwidth = (text: string) => {
    const none = text.trim() === '';
    const hertz = 1000 * numberIn(text);
    const sound = none || (hertz > 0 && hertz <= 1e8);
    setProblem(
      sound ? '' : 'The bandwidth must lie above 0 and up to 100,000 kHz, or be empty for not stated.',
    );
    if (sound) change({ bandwidthHz: none ? null : hertz }, 'bandwidth of the sensor');
  };
  const shown = (share: number | null) => (share === null ? '' : String(Number((100 * share).toFixed(2))));
  return (
    <section class="card fields" aria-label={`Set-up ${stage}`} data-card="set-up">
      <h2 class="wide">Set-up {stage}: what is lit, what is seen</h2>
      <label>
        light
        <select
          value={setUp.light}
          onChange={(e) => change({ light: e.currentTarget.value as SetUp['light'] }, 'light')}
        >
          {LIGHTS.map((light) => (
            <option key={light}>{light}</option>
          ))}
        </select>
      </label>
      <label>
        sensor
        <select
          value={setUp.sensor}
          onChange={(e) => change({ sensor: e.currentTarget.value as SetUp['sensor'] }, 'sensor')}
        >
          {SENSORS.map((sensor) => (
            <option key={sensor}>{sensor}</option>
          ))}
        </select>
      </label>
      <label>
        share of the opening that is lit and seen, %
        <DraftField
          type="number"
          min={1}
          max={100}
          step="1"
          placeholder="not stated"
          value={shown(setUp.seenShare)}
          commit={(text) => percent('seenShare', text, 1, 'The share of the opening')}
          data-field="seen-share"
        />
      </label>
      <label>
        linearity of sensor and amplifier, ± %
        <DraftField
          type="number"
          min={0}
          max={20}
          step="0.1"
          placeholder="not stated"
          value={shown(setUp.linearity)}
          commit={(text) => percent('linearity', text, 0.2, 'The linearity')}
          data-field="linearity"
        />
      </label>
      <label>
        bandwidth of sensor and amplifier, kHz
        <DraftField
          type="number"
          min={0}
          step="0.1"
          placeholder="not stated"
          value={setUp.bandwidthHz === null ? '' : String(Number((setUp.bandwidthHz / 1000).toPrecision(6)))}
          commit={bandwidth}
          data-field="bandwidth"
        />
      </label>
      <label class="wide">
        note
        <DraftArea rows={2} value={setUp.note} commit={(note) => change({ note }, 'note on the set-up')} />
      </label>
      <p class="wide quiet">
        Leaf shutter with its lens: iris wide open, broad and even light that fills the front, sensor on the
        axis at the film plane. Cells out, a small sensor near the shutter sees only the centre and reads too
        long. Focal plane: a narrow opening close to the curtain, near-parallel light. If the camera can’t be
        lit or reached that way, say so in the note instead of guessing. With 80 % of the opening seen, 1/500
        may read 0.26 EV long. Write 100 % only if you have seen to it: then geometry adds nothing to the
        uncertainty.
      </p>
      <ShapeLimit bandwidthHz={setUp.bandwidthHz} />
      {problem && <p class="wide trouble">{problem}</p>}
    </section>
  );
}

/** From which open time on the shape of a curve can be trusted (ISO 516: 100 / t0), by what is known now. */
function ShapeLimit({ bandwidthHz }: { bandwidthHz: number | null }) {
  const session = useView((v) => v.session);
  const hello = session.phase === 'live' && session.hello.kind === 'samples' ? session.hello : null;
  if (hello === null) return null;
  const secondsPerSample = hello.ticksPerConversion / hello.tickHz;
  const reached = availableBandwidth(secondsPerSample, bandwidthHz ?? Number.POSITIVE_INFINITY);
  const from = (1000 * shortestTotal(reached)).toFixed(1);
  return (
    <p class="wide quiet" data-shape-from={from}>
      Sampling at {(1 / secondsPerSample / 1000).toFixed(1)} kS/s,{' '}
      {bandwidthHz === null
        ? 'the board alone would let the shape of the curve be to ISO 516 from'
        : 'with this sensor the shape of the curve is to ISO 516 from'}{' '}
      {from} ms of total open time up. The effective time doesn’t depend on it. The hardware notes give the
      bandwidth of each circuit.
    </p>
  );
}
