import { useEffect, useMemo, useState } from 'preact/hooks';
import type { Paper } from '../certificate/certificate.ts';
import type { Job } from '../record/job.ts';
import {
  leftOutSentences,
  lookBeforehand,
  NOTHING_LEFT_OUT,
  previewInput,
  savePaper,
} from './actions/papers.ts';
import { CheckPaper } from './papers-check.tsx';
import { ResultsTable } from './papers-csv.tsx';
import { IssuedPapers } from './papers-issued.tsx';
import { PAPER_KINDS } from './papers-kinds.ts';
import { PaperPreview } from './papers-preview.tsx';
import { useView } from './view.ts';
import './papers.css';

/** The papers of the open job, and the check of papers that were given out. */
export function CertificateScreen() {
  const job = useView((v) => v.job);
  return (
    <main class="sheet papers">
      <h1>Papers</h1>
      {job ? (
        <PapersOfJob key={job.id} job={job} />
      ) : (
        <>
          <section class="card below">
            <h2>No job is open</h2>
            <p>Papers belong to a job. Open one, or make one, first. A paper can be checked without.</p>
            <a class="button" href="#jobs">
              To the jobs
            </a>
          </section>
          <CheckPaper />
        </>
      )}
    </main>
  );
}

function PapersOfJob({ job }: { job: Job }) {
  const workshop = useView((v) => v.workshop);
  const readings = useView((v) => v.readings);
  const unreadable = useView((v) => v.unreadable);
  const preferences = useView((v) => v.preferences);
  const [index, choose] = useState(0);
  const [paper, setPaper] = useState<Paper>(preferences.papers.size);
  const [progress, setProgress] = useState<{ words: string; part: number } | null>(null);
  const [outcome, setOutcome] = useState('');
  const kind = PAPER_KINDS[index]!;
  const name = kind.name(preferences.papers);
  const content = useMemo(
    () => kind.content(previewInput(job, { readings, workshop, preferences, unreadable }, paper)),
    [kind, job, workshop, readings, preferences, paper, unreadable],
  );
  const [leftOut, setLeftOut] = useState(NOTHING_LEFT_OUT);
  const texts = JSON.stringify(content);
  // Only another text or another logo can hold something else that can't be printed.
  useEffect(() => {
    let wanted = true;
    void lookBeforehand(content).then((found) => {
      if (wanted) setLeftOut(found);
    });
    return () => {
      wanted = false;
    };
  }, [texts, workshop.logo]);

  async function save() {
    setOutcome('');
    setProgress({ words: 'preparing', part: 0 });
    try {
      const file = await savePaper(kind, paper, (words, part) => setProgress({ words, part }));
      setOutcome(`Saved as ${file}.`);
    } catch (error) {
      setOutcome(`The ${name} was not written. ${(error as Error).message}`);
    } finally {
      setProgress(null);
    }
  }

  return (
    <>
      <section class="card below" aria-label="Which paper">
        <fieldset class="kinds">
          <legend>Which paper</legend>
          {PAPER_KINDS.map((one, i) => (
            <label key={one.kind} class="row">
              <input type="radio" name="paper" checked={i === index} onChange={() => choose(i)} />
              <span>
                {one.name(preferences.papers)} <span class="quiet">{one.purpose}</span>
              </span>
            </label>
          ))}
        </fieldset>
        <div class="row">
          <button
            type="button"
            class="main"
            onClick={() => void save()}
            disabled={progress !== null}
            data-action="save-pdf"
          >
            Save the {name} (PDF)
          </button>
          <label class="row">
            paper
            <select
              value={paper}
              onChange={(e) => setPaper(e.currentTarget.value as Paper)}
              data-control="paper"
            >
              <option value="A4">A4</option>
              <option value="Letter">Letter</option>
            </select>
          </label>
          {progress && (
            <span class="grows">
              {progress.words} <progress max={1} value={progress.part} aria-label={progress.words} />
            </span>
          )}
          <span role="status" data-outcome={outcome}>
            {outcome}
          </span>
        </div>
        {kind.carriesData && (
          <p class="quiet">
            The PDF carries the readings as an attached data file, without the customer’s name, and prints its
            SHA-256: whoever is given it can check that the data are still those of the paper.
          </p>
        )}
        {leftOutSentences(leftOut).map((sentence) => (
          <p key={sentence} class="trouble" role="alert" data-unprintable={leftOut.unprintable.join('')}>
            {sentence}
          </p>
        ))}
        <ResultsTable job={job} />
      </section>
      <IssuedPapers issued={job.issued} />
      <CheckPaper />
      <PaperPreview content={content} />
    </>
  );
}
