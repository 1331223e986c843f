import { useRef, useState } from 'preact/hooks';
import type { PaperCheck } from '../certificate/attached-data.ts';
import { hashInGroups } from '../certificate/data-section.ts';
import { type CheckedPaper, checkPaperFile, type IssueFound } from './actions/check-paper.ts';
import { momentText } from './day-text.ts';
import { Glyph, type Sign } from './glyphs.tsx';
import { useView } from './view.ts';

type State =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'looking'; readonly file: string }
  | { readonly kind: 'checked'; readonly file: string; readonly found: CheckedPaper }
  | { readonly kind: 'refused'; readonly file: string; readonly reason: string };

/** Whether a paper, or the data file that came with it, is as it was written. */
export function CheckPaper() {
  const [state, setState] = useState<State>({ kind: 'nothing' });
  const [over, setOver] = useState(false);
  const latest = useRef(0);

  async function look(file: File | undefined) {
    if (!file) return;
    latest.current += 1;
    const own = latest.current;
    setState({ kind: 'looking', file: file.name });
    let next: State;
    try {
      next = { kind: 'checked', file: file.name, found: await checkPaperFile(file) };
    } catch (error) {
      next = { kind: 'refused', file: file.name, reason: (error as Error).message };
    }
    // Another file may have been chosen meanwhile.
    if (latest.current === own) setState(next);
  }

  return (
    <section class="card below" aria-labelledby="check-paper">
      <h2 id="check-paper">Check a paper</h2>
      <p>
        Is a PDF, or the data file that came with it, still as it was written? The file stays on this
        computer.
      </p>
      <label
        class={`drop row ${over ? 'over' : ''}`}
        onDragOver={(e) => {
          e.preventDefault();
          setOver(true);
        }}
        onDragLeave={() => setOver(false)}
        onDrop={(e) => {
          e.preventDefault();
          setOver(false);
          void look(e.dataTransfer?.files[0]);
        }}
      >
        <span>Drop the PDF or the data file here, or choose it:</span>
        <input
          type="file"
          accept=".pdf,.json,application/pdf,application/json"
          data-control="check-paper"
          onChange={(e) => {
            void look(e.currentTarget.files?.[0]);
            // So that the same file can be chosen again after it was changed.
            e.currentTarget.value = '';
          }}
        />
      </label>
      <div role="status" data-checked={outcomeOf(state)}>
        <Found state={state} />
      </div>
    </section>
  );
}

const outcomeOf = (state: State): string =>
  state.kind === 'checked' ? state.found.check.outcome : state.kind;

const SIGNS: Readonly<Record<PaperCheck['outcome'], Sign>> = {
  agrees: 'within',
  changed: 'unwell',
  'data missing': 'unwell',
  'nothing stated': 'asks',
  'to compare': 'asks',
};

function Found({ state }: { state: State }) {
  if (state.kind === 'nothing') return null;
  if (state.kind === 'looking') return <p>Looking at {state.file} …</p>;
  if (state.kind === 'refused')
    return (
      <p class="trouble">
        {state.file}: {state.reason}
      </p>
    );
  const { check, issue } = state.found;
  const notAsNoted = issue?.kind === 'noted with other data' || issue?.kind === 'noted with data it lacks';
  const bad = check.outcome === 'changed' || check.outcome === 'data missing' || notAsNoted;
  return (
    <div class={bad ? 'trouble' : 'found'}>
      <p>
        <Glyph sign={notAsNoted ? 'unwell' : signOf(check, issue)} /> {state.file}: {check.sentence}
      </p>
      {issue && <Issued issue={issue} />}
      {check.sha256 !== null && (
        <p>
          SHA-256 of the data as they are now:
          <br />
          <code class="hash">{hashInGroups(check.sha256)}</code>
        </p>
      )}
      {check.printed !== null && check.printed !== check.sha256 && (
        <p>
          SHA-256 that the file states:
          <br />
          <code class="hash">{hashInGroups(check.printed)}</code>
        </p>
      )}
    </div>
  );
}

/** A data file that is noted here has been compared by that. */
const signOf = ({ outcome }: PaperCheck, issue: IssueFound | null): Sign =>
  outcome === 'to compare' && issue?.kind === 'noted' ? 'within' : SIGNS[outcome];

function Issued({ issue }: { issue: IssueFound }) {
  const { dates } = useView((v) => v.preferences).papers;
  if (issue.kind === 'not noted')
    return (
      <p data-issued-here="no">
        No paper of this number is noted in the jobs kept in this browser. It may come from another workshop
        or another computer.
      </p>
    );
  const words = `A paper of this number was issued here for job ${issue.job}, ${momentText(issue.paper.at, dates)}`;
  if (issue.kind === 'noted') return <p data-issued-here="yes">{words}, with these data.</p>;
  if (issue.kind === 'noted with other data')
    return <p data-issued-here="other data">{words}, but with other data.</p>;
  return <p data-issued-here="data missing">{words}, with its data attached; this file has none.</p>;
}
