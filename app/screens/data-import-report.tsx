import { useState } from 'preact/hooks';
import type { ImportOutcome, ImportReport } from '../record/job-file.ts';
import type { JobSummary } from '../record/job-summary.ts';
import type { ReadFile } from './actions/data-import.ts';
import { momentText } from './day-text.ts';
import { useView } from './view.ts';

interface PreviewProps {
  readonly name: string;
  readonly read: ReadFile;
  readonly take: (differing: 'keep' | 'replace') => void;
  readonly leave: () => void;
}

const count = (n: number, one: string, more = `${one}s`) => `${n} ${n === 1 ? one : more}`;

/** What would come of the import, and the choice for what is here already in another state. */
export function ImportPreview({ name, read: { file, preview }, take, leave }: PreviewProps) {
  const dates = useView((v) => v.preferences.papers.dates);
  const [differing, setDiffering] = useState<'keep' | 'replace'>('keep');
  const outcomes = [...preview.jobs.map(({ outcome }) => outcome), preview.workshop, preview.preferences];
  const differs = outcomes.includes('kept');
  const news = outcomes.includes('added') || preview.boards > 0;
  const { jobs, firings, pictures } = file.counts;
  return (
    <div data-preview={name}>
      <p>
        <strong>{name}</strong>, written {momentText(file.written, dates)} by {file.source}:{' '}
        {count(jobs, 'job')}, {count(firings, 'firing')}, {count(pictures, 'picture')}
        {file.contents === 'everything' ? ', settings and known boards' : ''}.
      </p>
      <JobOutcomes
        jobs={preview.jobs}
        words={{ added: 'new', same: 'here already', kept: 'differs from here', replaced: '' }}
      />
      {preview.refused.map(({ job, reason }) => (
        <p key={job.id} class="trouble">
          {reason}
        </p>
      ))}
      <SettingOutcomes
        report={preview}
        words={{
          added: 'would be taken over',
          same: 'are the same here',
          kept: 'differ from those here',
          replaced: '',
        }}
      />
      <SharedNumbers numbers={preview.sharedNumbers} />
      {differs && (
        <fieldset class="plain-set" aria-label="What differs">
          {(['keep', 'replace'] as const).map((choice) => (
            <label class="tick" key={choice}>
              <input
                type="radio"
                name="differing"
                checked={differing === choice}
                onChange={() => setDiffering(choice)}
                data-choice={choice}
              />
              {choice === 'keep'
                ? 'Keep what is here where it differs'
                : 'Replace what is here by the file’s where it differs (firings that only the job here has are gone then; undo brings them back)'}
            </label>
          ))}
        </fieldset>
      )}
      {!news && !differs && <p>Nothing in the file is new: reading it in would change nothing.</p>}
      <div class="row">
        {(news || differs) && (
          <button type="button" class="main" onClick={() => take(differing)} data-action="take-in">
            Take it in
          </button>
        )}
        <button type="button" onClick={leave} data-action="leave">
          {news || differs ? 'Leave it' : 'Close'}
        </button>
      </div>
    </div>
  );
}

/** What came of it. */
export function ImportResult({ name, report }: { readonly name: string; readonly report: ImportReport }) {
  const { refused, sharedNumbers, cancelled, boards } = report;
  return (
    <div data-report={name}>
      <p>
        <strong>{name}</strong> was read in
        {cancelled ? ' in part: you stopped it. What is listed is whole' : ''}.
      </p>
      <JobOutcomes
        jobs={report.jobs}
        words={{
          added: 'added',
          same: 'the same, left alone',
          kept: 'differs, kept as it was',
          replaced: 'replaced',
        }}
      />
      {refused.map(({ job, reason }) => (
        <p key={job.id} class="trouble">
          {reason}
        </p>
      ))}
      <SettingOutcomes
        report={report}
        words={{
          added: 'were taken over',
          same: 'were the same',
          kept: 'differ and were kept',
          replaced: 'were replaced',
        }}
      />
      {boards > 0 && <p>{count(boards, 'board')} noted.</p>}
      <SharedNumbers numbers={sharedNumbers} />
    </div>
  );
}

/** Jobs of another computer were numbered there. */
function SharedNumbers({ numbers }: { readonly numbers: readonly string[] }) {
  if (numbers.length === 0) return null;
  return (
    <p class="caution" data-shared={numbers.length}>
      {numbers.length === 1 ? 'Two jobs have this number' : 'These numbers stand for two jobs each'}:{' '}
      {numbers.slice(0, NAMED).join(', ')}
      {numbers.length > NAMED && ` and ${numbers.length - NAMED} more`}. Give one of them another number.
    </p>
  );
}

type Words = Readonly<Record<ImportOutcome, string>>;

function JobOutcomes({ jobs, words }: { readonly jobs: ImportReport['jobs']; readonly words: Words }) {
  if (jobs.length === 0) return <p class="quiet">No job.</p>;
  const groups = (Object.keys(words) as ImportOutcome[]).flatMap((outcome) => {
    const members = jobs.filter((one) => one.outcome === outcome).map(({ job }) => job);
    return members.length === 0 ? [] : [{ outcome, members }];
  });
  return (
    <ul class="plain">
      {groups.map(({ outcome, members }) => (
        <li key={outcome} data-outcome={outcome} data-count={members.length}>
          {count(members.length, 'job')} {words[outcome]}: {named(members)}
        </li>
      ))}
    </ul>
  );
}

/** So many are named; a list of a thousand says nothing. */
const NAMED = 8;

function named(jobs: readonly JobSummary[]): string {
  const names = jobs
    .slice(0, NAMED)
    .map(({ number, camera }) => [number, camera.description].filter(Boolean).join(' '));
  const more = jobs.length - names.length;
  return `${names.join(', ')}${more > 0 ? ` and ${more} more` : ''}.`;
}

function SettingOutcomes({ report, words }: { readonly report: ImportReport; readonly words: Words }) {
  const { workshop, preferences, refusedSettings } = report;
  return (
    <>
      {refusedSettings.map((reason) => (
        <p key={reason} class="trouble">
          {reason}
        </p>
      ))}
      {workshop && <p data-workshop={workshop}>The workshop’s particulars {words[workshop]}.</p>}
      {preferences && <p data-preferences={preferences}>The settings {words[preferences]}.</p>}
    </>
  );
}
