import { DASH } from '../certificate/stops-text.ts';
import { signedStops } from '../judge/verdict-words.ts';
import { remarkSentence } from '../measure/remark-sentences.ts';
import { timeText } from '../measure/shutter-fraction.ts';
import { type FiringLine, remarkWords } from './results-firings.ts';

interface Props {
  readonly lines: readonly FiringLine[];
  readonly chosen: string | null;
  readonly choose: (id: string) => void;
}

/** Serves both plots of a mark's firings. */
export function FiringTable({ lines, chosen, choose }: Props) {
  const ms = (time: number | null) => (time === null ? DASH : timeText(time));
  const remarks = lines.find(({ id }) => id === chosen)?.firing.figures.remarks ?? [];
  return (
    <section class="card firings" aria-label="Firings in their order">
      <div class="scrolls">
        <table data-table="firings">
          <thead>
            <tr>
              <th scope="col">firing</th>
              <th scope="col">time</th>
              <th scope="col">EV</th>
              <th scope="col">opening</th>
              <th scope="col">closing</th>
              <th scope="col">efficiency</th>
              <th scope="col" class="left">
                remarks
              </th>
            </tr>
          </thead>
          <tbody>
            {lines.map((line) => {
              const { figures } = line.firing;
              return (
                <tr
                  key={line.id}
                  class={`${line.id === chosen ? 'here' : ''} ${line.why === null ? '' : 'quiet'}`}
                  aria-current={line.id === chosen ? 'true' : undefined}
                  data-firing={line.ordinal}
                  onClick={() => choose(line.id)}
                >
                  <td>
                    <button type="button" class="bare" onClick={() => choose(line.id)}>
                      {line.ordinal}
                    </button>
                  </td>
                  <td>{ms(line.time)}</td>
                  <td>{line.error === null ? DASH : signedStops(line.error)}</td>
                  <td>{ms(figures.opening)}</td>
                  <td>{ms(figures.closing)}</td>
                  <td>{figures.efficiency === null ? DASH : `${(100 * figures.efficiency).toFixed(0)} %`}</td>
                  <td class="left words">{remarkWords(line)}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      {remarks.length > 0 && (
        <ul class="remarks">
          {remarks.map((remark) => (
            <li key={remark.code}>{remarkSentence(remark)}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
