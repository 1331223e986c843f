import { referenceTime } from '../judge/error-in-stops.ts';
import { latestOf, ON_THE_MARK } from '../judge/latest-firings.ts';
import { bandVerdict } from '../judge/speed-verdict.ts';
import { bandWords, signedStops } from '../judge/verdict-words.ts';
import { shutterFraction, timeText } from '../measure/shutter-fraction.ts';
import type { Job, StageId } from '../record/job.ts';
import { setMark } from './actions/jobs.ts';
import { bandOf, speedOf } from './actions/marks.ts';
import { belongsToJob } from './actions/readings.ts';
import { Glyph } from './glyphs.tsx';
import { inOrder, LEAST_SIDE_BY_SIDE, MOST_SIDE_BY_SIDE } from './side-by-side-marks.ts';
import { type Reading, view } from './view.ts';

interface Props {
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string;
  readonly marks: readonly string[];
  readonly readings: readonly Reading[];
}

/** While adjusting: the latest firing of two to four marks, each with its direction at once. */
export function SideBySide({ job, stage, mark, marks, readings }: Props) {
  return (
    <section class="tile-view" aria-label="Latest firings side by side" data-side-by-side>
      <fieldset class="row" aria-label="Marks side by side, two to four">
        {job.series.speeds.map(({ label }) => {
          const on = marks.includes(label);
          const fixed = on ? marks.length <= LEAST_SIDE_BY_SIDE : marks.length >= MOST_SIDE_BY_SIDE;
          return (
            <button
              type="button"
              class="small"
              key={label}
              aria-pressed={on}
              disabled={fixed}
              onClick={() => toggle(job, label)}
              data-pick={label}
            >
              {label}
            </button>
          );
        })}
      </fieldset>
      <div class="tiles" data-tiles={marks.length}>
        {marks.map((label) => (
          <Tile
            key={label}
            job={job}
            label={label}
            here={label === mark}
            readings={readings.filter(
              (r) => r.mark === label && r.stage === stage && r.kept !== 'provisional' && belongsToJob(r),
            )}
          />
        ))}
      </div>
    </section>
  );
}

interface TileProps {
  readonly job: Job;
  readonly label: string;
  readonly here: boolean;
  /** Of this mark and stage, in the order of firing. */
  readonly readings: readonly Reading[];
}

function Tile({ job, label, here, readings }: TileProps) {
  const speed = speedOf(job, label);
  const mark = { label, reference: speed && referenceTime(speed, job.referenceRule) };
  const counted = readings.map((reading) => ({ ...reading, firing: { spoilt: reading.spoilt } }));
  const [latest] = latestOf([mark], counted);
  const [before] = latestOf(
    [mark],
    counted.filter(({ ordinal }) => latest?.ordinal != null && ordinal < latest.ordinal),
  );
  const { ordinal, time, error, direction } = latest!;
  const band = bandOf(job, label);
  const tone = error === null ? 'quiet' : bandVerdict(error, band) === 'within' ? 'within' : 'beyond';
  const newest = readings.at(-1);
  const directionWords = () => {
    if (direction === 'on the mark') return `on the mark (±${ON_THE_MARK})`;
    return direction ?? (ordinal === null ? 'not fired yet' : 'no time to compare with');
  };
  return (
    <button
      type="button"
      class={`tile card ${here ? 'here' : ''}`}
      aria-pressed={here}
      onClick={() => setMark(label)}
      data-tile={label}
    >
      <span class="tile-mark">
        <strong>{label}</strong>
        {here && <small> dial here</small>}
        <small class="tile-band">{bandWords(band, job.bandUnit)}</small>
      </span>
      <span class={`tile-error ${tone}`} data-figure="error">
        {error === null ? '—' : signedStops(error)}
      </span>
      <span class={`tile-words ${tone}`} data-figure="verdict">
        <Glyph sign={direction === null ? 'waiting' : direction === 'on the mark' ? 'within' : direction} />{' '}
        {directionWords()}
        {error !== null && <small> {tone === 'within' ? 'within its band' : 'out of its band'}</small>}
      </span>
      <span class="quiet">
        {time === null ? '' : `${timeText(time)}, ${shutterFraction(time)}`}
        {ordinal === null ? '' : ` · firing ${ordinal}`}
        {before?.error == null ? '' : ` · before ${signedStops(before.error)}`}
        {newest && newest.ordinal !== ordinal && ` · firing ${newest.ordinal} not counted`}
      </span>
    </button>
  );
}

function toggle(job: Job, label: string): void {
  view.setState(({ sideBySide }) => {
    const wanted = sideBySide.includes(label)
      ? sideBySide.filter((other) => other !== label)
      : [...sideBySide, label];
    return { sideBySide: inOrder(job, wanted) };
  });
}
