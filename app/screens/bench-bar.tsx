import type { Programme } from '../judge/programme.ts';
import { defaultProgrammes, programmeProblems } from '../judge/programmes.ts';
import type { Job, StageId } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { savePreferences } from './actions/preferences.ts';
import { placeOf, repeatLast, skipStep } from './actions/programme.ts';
import { showBenchView } from './bench-keys.ts';
import { type BenchView, type Reading, useView } from './view.ts';

const views: readonly BenchView[] = ['one reading', 'side by side', 'across the room'];

interface Props {
  readonly job: Job;
  readonly stage: StageId;
  readonly readings: readonly Reading[];
  readonly noteWork: () => void;
}

/** Where the programme stands, how the bench is looked at, and what is heard. */
export function BenchBar({ job, stage, readings, noteWork }: Props) {
  const benchView = useView((v) => v.benchView);
  const { tones, voice } = useView((v) => v.preferences);
  return (
    <section class="bench-bar row" aria-label="Programme, views and sound">
      <ProgrammeLine job={job} stage={stage} readings={readings} />
      <fieldset class="row" aria-label="How the bench is looked at">
        {views.map((one) => (
          <button
            type="button"
            class="small"
            key={one}
            aria-pressed={benchView === one}
            onClick={() => showBenchView(one)}
            data-view={one}
          >
            {one}
          </button>
        ))}
        <kbd>V</kbd>
      </fieldset>
      <button
        type="button"
        class="small"
        aria-pressed={tones.on}
        onClick={() => savePreferences((p) => ({ ...p, tones: { ...p.tones, on: !p.tones.on } }))}
        data-toggle="tones"
      >
        tones {tones.on ? 'on' : 'off'}
      </button>
      <button
        type="button"
        class="small"
        aria-pressed={voice.on}
        onClick={() => savePreferences((p) => ({ ...p, voice: { ...p.voice, on: !p.voice.on } }))}
        data-toggle="voice"
      >
        voice {voice.on ? 'on' : 'off'}
      </button>
      <button type="button" class="small" onClick={noteWork} data-action="work-note">
        Work note <kbd>W</kbd>
      </button>
    </section>
  );
}

function ProgrammeLine({ job, stage, readings }: Pick<Props, 'job' | 'stage' | 'readings'>) {
  const own = useView((v) => v.preferences.programmes);
  const place = placeOf(job, readings, stage);
  if (!job.programme || !place) {
    const fitting = own.filter((programme) => programmeProblems(programme, job.series).length === 0);
    const offered = [...fitting, ...defaultProgrammes(job.series, job.leastFirings[stage])];
    return (
      <label class="programme row">
        programme
        <select
          value=""
          onChange={(e) => {
            const chosen = offered.find(({ id }) => id === e.currentTarget.value);
            if (chosen) take(chosen);
          }}
          data-field="programme"
        >
          <option value="">none: you turn the dial as you like</option>
          {offered.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
    );
  }
  const { now, firing, of, next, done, total } = place;
  return (
    <p class="programme row" role="status" data-programme={place.step ?? 'done'}>
      <span>
        {now === null ? (
          <>
            <strong>Programme done:</strong> {done} of {total} {total === 1 ? 'firing' : 'firings'}
          </>
        ) : (
          <>
            <strong>{now.mark}</strong> firing {firing} of {of}
            {next && `, then ${next.mark}`} · {done} of {total}
          </>
        )}
      </span>
      <button type="button" class="small" disabled={readings.length === 0} onClick={repeatLast}>
        Repeat <kbd>R</kbd>
      </button>
      <button type="button" class="small" disabled={now === null} onClick={skipStep}>
        Skip <kbd>N</kbd>
      </button>
      <button type="button" class="small" onClick={() => take(null)} data-action="end-programme">
        End
      </button>
    </p>
  );
}

const take = (programme: Programme | null) =>
  changeJob(
    (job) => ({ ...job, programme }),
    programme ? `programme “${programme.name}” chosen` : 'programme ended',
  );
