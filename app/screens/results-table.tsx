import { DASH } from '../certificate/stops-text.ts';
import type { StageId } from '../record/job.ts';
import { Glyph } from './glyphs.tsx';
import { Term } from './help-term.tsx';
import type { TermId } from './help-terms.ts';
import type { MarkFigures, ResultFigures } from './results-figures.ts';
import { StageSign } from './results-stage-sign.tsx';

interface Props {
  readonly columns: readonly MarkFigures[];
  /** Those of which there is anything to show. */
  readonly stages: readonly StageId[];
  readonly mark: string;
  readonly stage: StageId;
  readonly choose: (mark: string, stage?: StageId) => void;
  /** Widths before the first and after the last mark, as shares of the whole: so that each stands under its points. */
  readonly head: number;
  readonly tail: number;
}

type Row = Exclude<keyof ResultFigures, 'sign' | 'tone' | 'erratic' | 'sentence' | 'fraction' | 'verdict'>;

const ROWS: readonly {
  readonly row: Row;
  readonly head: string;
  readonly title: string;
  readonly term: TermId | null;
}[] = [
  { row: 'n', head: 'firings', title: 'Firings that count', term: null },
  { row: 'mean', head: 'mean', title: 'Geometric mean of the effective times', term: 'mean' },
  {
    row: 'error',
    head: 'error, EV',
    title: 'Mean error against the mark, in EV; plus is slow',
    term: 'error',
  },
  {
    row: 'meanInterval',
    head: '95 % of it',
    title: '95 % interval of the mean error, in EV',
    term: 'interval',
  },
  { row: 'sd', head: 'SD, EV', title: 'Standard deviation of the firings, in EV', term: 'sd' },
  {
    row: 'sdInterval',
    head: '95 % of it',
    title: '95 % interval of the standard deviation, in EV',
    term: 'interval',
  },
  {
    row: 'nextShot',
    head: 'next shot',
    title: 'Next-shot odds: chance that the next firing falls within the band',
    term: 'next-shot',
  },
  {
    row: 'conformity',
    head: 'conformity',
    title: 'Probability that the true mean lies within the band',
    term: 'conformity',
  },
  {
    row: 'expanded',
    head: 'U, EV',
    title: 'Expanded uncertainty of the mean error (95 %), in EV',
    term: 'uncertainty',
  },
];

/** A column for each mark, under its points in the chart; a block of lines for each stage. */
export function ResultsTable({ columns, stages, mark, stage, choose, head, tail }: Props) {
  if (columns.length === 0) return null;
  const share = (1 - head - tail) / columns.length;
  const here = (one: MarkFigures, of: StageId) =>
    one.mark === mark ? (of === stage ? 'here now' : 'here') : '';
  return (
    <table class="under" data-table="results" style={{ width: `${100 * (1 - tail)}%` }}>
      <colgroup>
        <col style={{ width: `${(100 * head) / (1 - tail)}%` }} />
        {columns.map((one) => (
          <col key={one.mark} style={{ width: `${(100 * share) / (1 - tail)}%` }} />
        ))}
      </colgroup>
      <thead class="unseen">
        <tr>
          <th scope="col">mark</th>
          {columns.map((one) => (
            <th scope="col" key={one.mark}>
              {one.mark}
            </th>
          ))}
        </tr>
      </thead>
      {stages.map((of) => (
        <tbody key={of} data-stage={of}>
          <tr class="stage">
            <th scope="rowgroup">
              <StageSign stage={of} /> {of}
            </th>
            {columns.map((one) => {
              const figures = one.figures[of];
              return (
                <td
                  key={one.mark}
                  class={`${here(one, of)} ${figures?.tone ?? 'quiet'}`}
                  data-mark={one.mark}
                  data-cell="verdict"
                >
                  {figures ? (
                    <button
                      type="button"
                      class="bare"
                      onClick={() => choose(one.mark, of)}
                      title={figures.sentence}
                    >
                      <Glyph sign={figures.sign} /> {figures.verdict}
                    </button>
                  ) : (
                    DASH
                  )}
                </td>
              );
            })}
          </tr>
          {ROWS.map(({ row, head: words, title, term }) => (
            <tr key={row} class={row}>
              <th scope="row" title={title}>
                {term ? <Term id={term}>{words}</Term> : words}
              </th>
              {columns.map((one) => {
                const figures = one.figures[of];
                const erratic = row === 'sd' && figures?.erratic === true;
                return (
                  <td
                    key={one.mark}
                    class={`${here(one, of)} ${erratic ? 'beyond' : ''}`}
                    data-mark={one.mark}
                    data-cell={row}
                  >
                    {figures ? figures[row] : DASH}
                    {erratic && ' erratic'}
                  </td>
                );
              })}
            </tr>
          ))}
        </tbody>
      ))}
    </table>
  );
}
