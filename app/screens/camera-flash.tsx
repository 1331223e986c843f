import { useMemo, useState } from 'preact/hooks';
import { seconds } from '../../firmware-protocol/units.ts';
import { type FlashMarks, flashMarks } from '../certificate/flash-marks.ts';
import type { SyncSetting } from '../judge/camera-checks.ts';
import { syncRange } from '../judge/flash-sync.ts';
import {
  FLASH_CAUTIONS,
  flashDurationSentence,
  flashSyncSentence,
  syncRangeSentence,
} from '../judge/flash-sync-sentences.ts';
import type { Job, StageId } from '../record/job.ts';
import { changeJob, setMark } from './actions/jobs.ts';
import { certifiedFirings } from './actions/readings.ts';
import { FlashFirings } from './camera-flash-firings.tsx';
import { FlashTable } from './camera-flash-table.tsx';
import { LeadOutcome } from './checks-contact-lead.tsx';
import { DraftField } from './draft-field.tsx';
import { numberIn } from './mark-fields.tsx';
import { waitingWords } from './reading-panel.tsx';
import { useView } from './view.ts';

/** Light and contact recorded together: whether the contact closes when the blades stand open. */
export function FlashSection({ job, stage }: { job: Job; stage: StageId }) {
  const readings = useView((v) => v.readings);
  const mark = useView((v) => v.mark);
  const { sync } = job.stages[stage];
  const setting = sync === 'M' ? 'M' : 'X';
  const flash = useMemo(
    () => flashMarks(job, certifiedFirings(readings, job), stage, setting),
    [job, readings, stage, setting],
  );
  const shown = flash.marks.find(({ speed }) => speed.label === mark) ?? null;
  const trouble = flash.marks.some(
    ({ result }) => result.verdict === 'never closed' || (result.n > 0 && result.closed === 0),
  );
  return (
    <>
      <Settings job={job} stage={stage} mark={mark} />
      <div class="columns broad">
        <section class="card" aria-label={`Contact at ${setting}, ${stage}`} data-section="flash">
          <h2>
            {setting} {stage}, mark by mark
          </h2>
          {flash.marks.length === 0 ? (
            <p class="quiet">
              No firing {stage} with the lever at {setting} yet. Set the lever and fire, here or on the bench:
              light and contact are recorded together.
            </p>
          ) : (
            <FlashTable marks={flash.marks} setting={setting} mark={mark} choose={setMark} />
          )}
          {setting === 'X' && flash.marks.some(({ result }) => result.verdict !== 'cannot be told') && (
            <p data-part="sync-range">
              {syncRangeSentence(syncRange(flash.marks.map(({ speed, result }) => ({ speed, ...result }))))}
            </p>
          )}
          {setting === 'X' && <p class="quiet">{flashDurationSentence(job.flashDuration)}</p>}
          {flash.notStated > 0 && (
            <p class="quiet">
              {flash.notStated === 1 ? 'At 1 firing' : `At ${flash.notStated} firings`} nobody had said where
              the lever stood: taken as X.
            </p>
          )}
          {trouble && <NeverCloses lead={flash.leadNow} />}
          <Lead flash={flash} />
          <div class="caution">
            {FLASH_CAUTIONS.map((words) => (
              <p key={words}>{words}</p>
            ))}
          </div>
        </section>
        {shown && (
          <section class="card" aria-label={`Contact at ${shown.speed.label}`} data-section="flash-mark">
            <h2>At {shown.speed.label}</h2>
            <p data-part="flash-sentence" data-verdict={shown.result.verdict}>
              {flashSyncSentence(shown.result)}
            </p>
            <FlashFirings key={`${shown.speed.label} ${stage} ${setting}`} mark={shown} job={job} />
          </section>
        )}
      </div>
    </>
  );
}

const SETTINGS: readonly SyncSetting[] = ['not stated', 'X', 'M'];

interface SettingsProps {
  readonly job: Job;
  readonly stage: StageId;
  readonly mark: string | null;
}

function Settings({ job, stage, mark }: SettingsProps) {
  const [problem, setProblem] = useState('');
  const setSync = (sync: SyncSetting) =>
    changeJob(
      (j) => ({ ...j, stages: { ...j.stages, [stage]: { ...j.stages[stage], sync } } }),
      `lever for flash ${stage}`,
    );
  return (
    <section class="card row flash-settings" aria-label="Lever, flash and dial">
      <fieldset class="states" data-field="sync" aria-label={`Where the lever for flash stands, ${stage}`}>
        <span class="quiet">lever</span>
        {SETTINGS.map((one) => (
          <label key={one}>
            <input
              type="radio"
              name="lever for flash"
              value={one}
              checked={job.stages[stage].sync === one}
              onChange={() => setSync(one)}
            />
            <span>{one}</span>
          </label>
        ))}
      </fieldset>
      <label class="row">
        flash lights for, ms
        <DraftField
          type="number"
          min={0}
          step="any"
          value={String(Number((1000 * job.flashDuration).toPrecision(6)))}
          commit={(text) => {
            const duration = numberIn(text) / 1000;
            const sound = duration >= 0 && duration <= 1;
            setProblem(sound ? '' : 'The flash’s duration lies between 0 and 1000 ms.');
            if (sound)
              changeJob((j) => ({ ...j, flashDuration: seconds(duration) }), 'duration of the flash');
          }}
          data-field="flash-duration"
        />
      </label>
      <label class="row">
        dial at
        <select value={mark ?? ''} onChange={(e) => setMark(e.currentTarget.value)} data-field="flash-mark">
          {job.series.speeds.map(({ label }) => (
            <option key={label}>{label}</option>
          ))}
        </select>
      </label>
      <Waiting />
      {problem && <p class="trouble wide">{problem}</p>}
    </section>
  );
}

/** Asked for here, and not by the whole section: the light changes several times a second. */
function Waiting() {
  const phase = useView((v) => v.eye.phase);
  const live = useView((v) => v.session.phase === 'live');
  return (
    <span class="quiet" data-eye={phase}>
      {waitingWords({ phase, code: null }, live)}
    </span>
  );
}

/** What is known of the lead. A test that failed is over once the contact has closed in a firing. */
function Lead({ flash: { lead, leadNow } }: { flash: FlashMarks }) {
  if (lead && (leadNow === 'fails' || lead.result.state === 'works' || lead.result.state === 'bounces'))
    return <LeadOutcome check={lead} />;
  if (leadNow === 'works')
    return <p class="quiet">The lead works: the contact has closed in a firing of this job.</p>;
  return (
    <p class="quiet">
      The lead has not been tested for this job: <a href="#checks">test it on the instrument’s screen</a>.
    </p>
  );
}

const leadWords: Record<FlashMarks['leadNow'], string> = {
  works: '',
  fails: 'Its last test failed: test it again.',
  'not known': 'Test it: nothing is known of it yet.',
};

function NeverCloses({ lead }: { lead: FlashMarks['leadNow'] }) {
  return (
    <div class="trouble" data-part="never-closes">
      <p>The contact is not seen to close. In this order, before anything is opened:</p>
      <ol>
        <li>
          the lead: plugged in at both ends, unbroken?{' '}
          {lead === 'works' ? 'It is known to work.' : <a href="#checks">{leadWords[lead]}</a>}
        </li>
        <li>the flash that failed: does it go off by its own test button, away from camera and lead?</li>
        <li>the contact: the lever set, the socket clean, and only then the contact inside the shutter.</li>
      </ol>
    </div>
  );
}
