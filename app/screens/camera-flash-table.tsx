import type { FlashMark } from '../certificate/flash-marks.ts';
import type { FlashSyncResult, SyncVerdict } from '../judge/flash-sync.ts';
import { signed } from '../judge/verdict-words.ts';
import { Glyph, type Sign } from './glyphs.tsx';

const DASH = '–';

const signs: Record<SyncVerdict, readonly [Sign, string]> = {
  'in time': ['within', 'within'],
  'too early': ['fast', 'beyond'],
  'too late': ['slow', 'beyond'],
  'never closed': ['unwell', 'beyond'],
  'not every time': ['asks', 'beyond'],
  'cannot be told': ['waiting', 'quiet'],
};

function SyncSign({ verdict }: { verdict: SyncVerdict }) {
  const [sign, tone] = signs[verdict];
  return (
    <span class={`sync ${tone}`}>
      <Glyph sign={sign} /> {verdict}
    </span>
  );
}

/** Milliseconds with a sign. */
export const milliseconds = (value: number | null | undefined): string =>
  value == null ? DASH : signed(1000 * value, decimals(value));

/** Without one: '4.21'. */
export const lasting = (value: number | null): string =>
  value === null ? DASH : (1000 * value).toFixed(decimals(value));

/** Three figures from 1 ms on, as the papers have them. */
const decimals = (value: number): number => {
  const size = Math.abs(1000 * value);
  return size < 9.995 ? 2 : size < 99.95 ? 1 : 0;
};

export const bouncesText = ({ closed, bounces, moreBounces }: FlashSyncResult): string =>
  closed === 0 ? DASH : `${moreBounces ? '≥ ' : ''}${bounces}`;

interface Props {
  readonly marks: readonly FlashMark[];
  readonly setting: 'X' | 'M';
  readonly mark: string | null;
  readonly choose: (mark: string) => void;
}

/** One line a mark: verdict first. */
export function FlashTable({ marks, setting, mark, choose }: Props) {
  return (
    <div class="scrolls">
      <table class="flash-marks" data-table="flash">
        <thead>
          <tr>
            <th scope="col">mark</th>
            <th scope="col" class="left">
              verdict
            </th>
            <th scope="col">closed</th>
            <th scope="col">{setting === 'X' ? 'mean margin, ms' : 'mean lead on 80 %, ms'}</th>
            <th scope="col">worst, ms</th>
            <th scope="col">open at closure</th>
            <th scope="col">bounces</th>
            <th scope="col">stays closed, ms</th>
          </tr>
        </thead>
        <tbody>
          {marks.map(({ speed: { label }, result }) => {
            const figures = setting === 'X' ? result.margin : result.lead;
            return (
              <tr
                key={label}
                data-mark={label}
                data-verdict={result.verdict}
                class={label === mark ? 'here' : ''}
                aria-current={label === mark ? 'true' : undefined}
              >
                <th scope="row">
                  <button type="button" class="small" onClick={() => choose(label)}>
                    {label}
                  </button>
                </th>
                <td class="left">
                  <SyncSign verdict={result.verdict} />
                </td>
                <td data-cell="closed">
                  {result.closed} of {result.n}
                </td>
                <td data-cell="mean">{milliseconds(figures?.mean)}</td>
                <td data-cell="worst">{milliseconds(figures?.worst)}</td>
                <td>
                  {result.openAtClosure === null ? DASH : `${(100 * result.openAtClosure).toFixed(0)} %`}
                </td>
                <td data-cell="bounces">{bouncesText(result)}</td>
                <td data-cell="stays-closed">{lasting(result.closedTime)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
