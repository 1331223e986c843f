import type { CertificateRow } from '../certificate/certificate.ts';
import type { StageId } from '../record/job.ts';
import { Term } from './help-term.tsx';

interface Props {
  /** The rows the certificate would print now: screen and paper show the same strings. */
  readonly rows: readonly CertificateRow[];
  readonly stage: StageId;
  readonly mark: string;
  readonly choose: (mark: string) => void;
}

/** All speeds of this stage with their running figures. */
export function SpeedTable({ rows, stage, mark, choose }: Props) {
  return (
    <section class="card speeds" aria-label={`All speeds, ${stage}`}>
      <table data-table="speeds">
        <thead>
          <tr>
            <th scope="col">mark</th>
            <th scope="col">n</th>
            <th scope="col">
              <Term id="mean">mean</Term>
            </th>
            <th scope="col">
              <Term id="error">EV</Term>
            </th>
            <th scope="col">
              <Term id="sd">spread</Term>
            </th>
            <th scope="col" class="left">
              <Term id="rule">verdict</Term>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const figures = row.stages[stage];
            return (
              <tr
                key={row.mark}
                class={row.mark === mark ? 'here' : ''}
                aria-current={row.mark === mark ? 'true' : undefined}
                data-mark={row.mark}
                onClick={() => choose(row.mark)}
              >
                <td>{row.mark}</td>
                <td data-cell="n">{figures.n}</td>
                <td data-cell="mean">{figures.mean}</td>
                <td data-cell="error">{figures.error}</td>
                <td data-cell="spread">{figures.spread}</td>
                <td class={`left words ${toneOf(figures)}`} data-cell="verdict">
                  {figures.verdict}
                  {figures.repeats === 'erratic' && <span class="beyond">, erratic</span>}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function toneOf({ beyond, verdict }: { beyond: boolean; verdict: string }): string {
  if (beyond) return 'beyond';
  return verdict === 'within' ? 'within' : 'quiet';
}
