import './jobs.css';
import { PAPER_STAGES, STAGES } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { createJob, createReturningJob, removeJob } from './actions/jobs-list.ts';
import { AssemblyFields } from './job-assembly.tsx';
import { BandFields, type JudgingProps } from './job-band.tsx';
import { CustomerFields } from './job-customer.tsx';
import { NotesCard } from './job-notes.tsx';
import { ProgrammeCard } from './job-programme.tsx';
import { ReturningCard } from './job-returning.tsx';
import { FlashField, LeastFields, RuleFields } from './job-rules.tsx';
import { SeriesFields } from './job-series.tsx';
import { StateLine } from './job-state.tsx';
import { IssuedCard, WorkFields } from './job-work.tsx';
import { MarkFields } from './mark-fields.tsx';
import { UndoButton } from './undo-button.tsx';
import { useView, view } from './view.ts';

/** Headings of the screen, to jump to: it is long, and hands are full. */
const PARTS = [
  ['camera', 'Camera'],
  ['notes', 'Notes and pictures'],
  ['work', 'Work'],
  ['speeds', 'Speeds'],
  ['stands', 'How it stands'],
] as const;
type Part = (typeof PARTS)[number][0];

const change: JudgingProps['change'] = (part, words) => changeJob((job) => ({ ...job, ...part }), words);

/** All that belongs to a job besides its readings: whose camera, what ails it, what was done, how it is judged. */
export function JobScreen() {
  const job = useView((v) => v.job);
  const fired = useView((v) => v.readings.length > 0);
  if (!job)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <div class="row">
          <button type="button" class="main" onClick={() => void createJob(false)} data-action="new-job">
            New job
          </button>
          <a class="button" href="#jobs">
            All jobs
          </a>
        </div>
      </main>
    );
  return (
    <main class="sheet job">
      <div class="row heading">
        <h1>
          Job {job.number} {job.invented && <span class="invented">invented</span>}
        </h1>
        <UndoButton />
      </div>
      <StateLine job={job} />
      <nav class="row parts" aria-label="Parts of this screen">
        {PARTS.map(([part, words]) => (
          <button type="button" class="small" key={part} onClick={() => goTo(part)}>
            {words}
          </button>
        ))}
      </nav>
      <div class="halves">
        <div>
          <CustomerFields job={job} />
          <ReturningCard job={job} />
          <WorkFields job={job} />
        </div>
        <div>
          <NotesCard job={job} />
          <IssuedCard job={job} />
        </div>
      </div>
      <div class="halves">
        <div>
          <section class="card fields" data-part="speeds" tabIndex={-1}>
            <h2 class="wide">Speeds and how they are judged</h2>
            <SeriesFields job={job} fired={fired} />
            <BandFields value={job} change={change} />
            <RuleFields value={job} change={change} />
            <p class="wide quiet">A change of band or rule changes verdicts, never readings.</p>
            <LeastFields value={job} change={change} />
            <FlashField value={job} change={change} />
          </section>
        </div>
        <div>
          <MarkFields job={job} />
          <ProgrammeCard job={job} />
        </div>
      </div>
      <div class="halves" data-part="stands" tabIndex={-1}>
        {PAPER_STAGES.map((stage) => (
          <AssemblyFields key={stage} job={job} stage={stage} />
        ))}
      </div>
      <details>
        <summary>How it stands at trials and after rest</summary>
        <div class="halves">
          {STAGES.filter((stage) => stage === 'trials' || stage === 'after rest').map((stage) => (
            <AssemblyFields key={stage} job={job} stage={stage} />
          ))}
        </div>
      </details>
      <div class="row ends">
        <button
          type="button"
          onClick={() => void anotherJob(job.id)}
          title="Camera, series and limits are taken along; customer, complaint and readings are not"
          data-action="returning-job"
        >
          New job for this camera
        </button>
        <button type="button" onClick={() => void takeOff(job)} data-action="remove-job">
          Take this job off the list
        </button>
      </div>
    </main>
  );
}

function goTo(part: Part): void {
  const there = document.querySelector<HTMLElement>(`[data-part=${part}]`);
  there?.scrollIntoView();
  there?.focus({ preventScroll: true });
}

async function anotherJob(earlier: string): Promise<void> {
  await createReturningJob(earlier);
  if (view.getState().job?.id !== earlier) scrollTo(0, 0);
}

async function takeOff(job: { readonly id: string; readonly number: string }): Promise<void> {
  await removeJob(job);
  if (view.getState().job === null) location.hash = 'jobs';
}
