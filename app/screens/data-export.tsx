import { useRef, useState } from 'preact/hooks';
import { backUpReminder } from './actions/backup-reminder.ts';
import { exportJobs } from './actions/data-export.ts';
import { savePreferences } from './actions/preferences.ts';
import { Working } from './data-working.tsx';
import { dayText } from './day-text.ts';
import { DraftField } from './draft-field.tsx';
import { numberIn } from './mark-fields.tsx';
import { useView } from './view.ts';

/** Everything, or one job, into a file; and how often to be reminded of it. */
export function DataExport() {
  const jobs = useView((v) => v.jobs);
  const open = useView((v) => v.job);
  const [chosen, choose] = useState(open?.id ?? '');
  const [part, setPart] = useState<number | null>(null);
  const [said, say] = useState<{ readonly words: string; readonly trouble: boolean } | null>(null);
  const stop = useRef<AbortController | null>(null);
  const job = jobs.find(({ id }) => id === chosen) ?? null;

  const save = async (ids: readonly string[] | 'everything') => {
    const controller = new AbortController();
    stop.current = controller;
    setPart(0);
    say(null);
    try {
      const name = await exportJobs(ids, setPart, controller.signal);
      say({ words: `${name} is handed to the browser’s downloads.`, trouble: false });
    } catch (error) {
      say({ words: (error as Error).message, trouble: !controller.signal.aborted });
    } finally {
      setPart(null);
    }
  };

  return (
    <section class="card" data-card="export">
      <h2>Save a file</h2>
      <p>
        One file holds all jobs with their firings, light curves and pictures, the settings and the known
        boards. It can be read in again here or on another computer. It names your customers: keep it as you
        keep their letters.
      </p>
      {part === null ? (
        <>
          <div class="row below">
            <button
              type="button"
              class="main"
              onClick={() => void save('everything')}
              data-action="export-everything"
            >
              Save everything
            </button>
          </div>
          <div class="row">
            <label class="along">
              one job
              <select
                value={job?.id ?? ''}
                onChange={(e) => choose(e.currentTarget.value)}
                data-field="export-job"
              >
                <option value="">choose …</option>
                {jobs.map(({ id, number, camera, removed }) => (
                  <option key={id} value={id}>
                    {number} {camera.description || 'camera not yet named'}
                    {removed === null ? '' : ' (off the list)'}
                  </option>
                ))}
              </select>
            </label>
            <button
              type="button"
              disabled={!job}
              onClick={() => job && void save([job.id])}
              data-action="export-job"
            >
              Save this job
            </button>
          </div>
        </>
      ) : (
        <Working words="Writing the file" part={part} stop={() => stop.current?.abort()} />
      )}
      <p role="status" class={said?.trouble ? 'trouble' : 'quiet'} data-said="export">
        {said?.words}
      </p>
      <ReminderFields />
    </section>
  );
}

function ReminderFields() {
  const backUp = useView((v) => v.preferences.backUp);
  const jobs = useView((v) => v.jobs);
  const dates = useView((v) => v.preferences.papers.dates);
  const [problem, setProblem] = useState('');
  const { due } = backUpReminder(backUp, jobs, Date.now());
  return (
    <>
      <p class={due ? 'caution' : ''} data-reminder={due ? 'due' : 'not due'}>
        {backUp.last === null
          ? 'There is no file of everything yet.'
          : `Everything was last saved in a file on ${dayText(backUp.last, dates)}.`}
        {due && ' It is time to do it again.'}
      </p>
      <label class="along">
        remind me on Start when the last file is so many days old (empty: never)
        <DraftField
          type="number"
          min={1}
          max={365}
          value={backUp.everyDays === null ? '' : String(backUp.everyDays)}
          commit={(text) => {
            const none = text.trim() === '';
            const days = numberIn(text);
            const sound = none || (Number.isInteger(days) && days >= 1 && days <= 365);
            setProblem(sound ? '' : 'A whole number of days from 1 to 365, or empty.');
            if (sound)
              savePreferences(
                (p) => ({ ...p, backUp: { ...p.backUp, everyDays: none ? null : days } }),
                'days between reminders',
              );
          }}
          data-field="every-days"
        />
      </label>
      {problem && <p class="trouble">{problem}</p>}
    </>
  );
}
