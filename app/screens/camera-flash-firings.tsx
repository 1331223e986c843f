import { useEffect, useMemo, useState } from 'preact/hooks';
import type { FlashMark } from '../certificate/flash-marks.ts';
import type { Firing } from '../measure/figures.ts';
import type { Job } from '../record/job.ts';
import { curveOf } from './actions/readings.ts';
import { contactChart } from './camera-contact-chart.ts';
import { type ContactColumns, contactColumns, contactWords, firstPlace } from './camera-contact-columns.ts';
import { bouncesText, lasting, milliseconds } from './camera-flash-table.tsx';
import { ChartDrawing } from './chart-drawing.tsx';
import { useWidth } from './results-width.ts';

const PX_PER_UNIT = 1.5;
const HEIGHT = 300;

/** The firings of one mark: the chosen one drawn with its contact, all of them in a table. */
export function FlashFirings({ mark: { firings, result }, job }: { mark: FlashMark; job: Job }) {
  const [asked, choose] = useState<string | null>(null);
  // The latest one, until the user looks at another.
  const chosen = firings.find(({ id }) => id === asked) ?? firings.at(-1)!;
  const { setting } = result;
  return (
    <>
      <ContactPlot key={chosen.id} chosen={chosen} job={job} setting={setting} />
      <div class="scrolls">
        <table data-table="flash-firings">
          <thead>
            <tr>
              <th scope="col">firing</th>
              <th scope="col">{setting === 'X' ? 'margin, ms' : 'lead on 80 %, ms'}</th>
              <th scope="col">open at closure</th>
              <th scope="col">bounces</th>
              <th scope="col">bounces for, ms</th>
              <th scope="col">stays closed, ms</th>
              <th scope="col" class="left">
                remark
              </th>
            </tr>
          </thead>
          <tbody>
            {firings.map(({ id, ordinal, firing, result: one }) => (
              <tr key={id} class={id === chosen.id ? 'here' : ''} data-firing={ordinal}>
                <th scope="row">
                  <button
                    type="button"
                    class="small"
                    aria-pressed={id === chosen.id}
                    onClick={() => choose(id)}
                  >
                    {ordinal}
                  </button>
                </th>
                <td>{milliseconds((setting === 'X' ? one.margin : one.lead)?.mean)}</td>
                <td>{one.openAtClosure === null ? '–' : `${(100 * one.openAtClosure).toFixed(0)} %`}</td>
                <td>{bouncesText(one)}</td>
                <td>{one.closed === 0 ? '–' : lasting(one.bounceTime)}</td>
                <td>{lasting(one.closedTime)}</td>
                <td class="left words">
                  {firing.setAside !== null
                    ? `set aside: ${firing.setAside}`
                    : one.n === 0
                      ? 'spoilt'
                      : one.closed === 0
                        ? one.stoodClosed > 0
                          ? 'stood closed'
                          : one.openTimeOnly > 0
                            ? 'not seen to close'
                            : 'did not close'
                        : ''}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

interface PlotProps {
  readonly chosen: FlashMark['firings'][number];
  readonly job: Job;
  readonly setting: 'X' | 'M';
}

function ContactPlot({ chosen: { id, ordinal, firing }, job, setting }: PlotProps) {
  const columns = useColumns(id, firing, job);
  const [host, px] = useWidth<HTMLDivElement>(560);
  const [place, setPlace] = useState<number | null>(null);
  if (columns === 'waiting') return <p class="quiet">Fetching the curve …</p>;
  if (columns === null)
    return <p class="quiet">No light curve was kept of firing {ordinal}: there is nothing to draw.</p>;
  const at = Math.min(place ?? firstPlace(columns), columns.time.length - 1);
  const words = contactWords(columns, at, setting === 'X');
  return (
    <figure class="contact-plot">
      <div ref={host}>
        <ChartDrawing
          primitives={contactChart(
            columns,
            setting,
            columns.time[at] ?? null,
            px / PX_PER_UNIT,
            HEIGHT / PX_PER_UNIT,
          )}
          width={px / PX_PER_UNIT}
          height={HEIGHT / PX_PER_UNIT}
          description={`Light of firing ${ordinal} with the contact under it: ${closedWords(columns)}`}
        />
      </div>
      <input
        type="range"
        min={0}
        max={columns.time.length - 1}
        value={at}
        aria-label="Time from first light"
        aria-valuetext={words}
        onInput={(event) => setPlace(Number(event.currentTarget.value))}
        data-control="contact-time"
      />
      <p class="read" aria-live="polite" data-read="contact">
        {words}
      </p>
    </figure>
  );
}

function closedWords({ closed }: ContactColumns): string {
  const first = closed[0];
  if (first === undefined) return 'the contact does not close in what is drawn';
  const times = closed.length === 1 ? '' : `, ${closed.length} times in all`;
  return `closed from ${Math.abs(first.from).toFixed(2)} ms ${first.from < 0 ? 'before' : 'after'} first light${times}`;
}

function useColumns(id: string, { figures, clockCorrection }: PlotProps['chosen']['firing'], job: Job) {
  const [firing, setFiring] = useState<Firing | null | 'waiting'>('waiting');
  useEffect(() => {
    let wanted = true;
    void curveOf(id).then((kept) => wanted && setFiring(kept));
    return () => {
      wanted = false;
    };
  }, [id]);
  return useMemo(
    () =>
      firing === 'waiting' || firing === null
        ? firing
        : contactColumns(firing, figures, clockCorrection?.ppm ?? 0, job.flashDuration),
    [firing, figures, job.flashDuration],
  );
}
