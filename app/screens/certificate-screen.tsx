import { useEffect, useMemo, useState } from 'preact/hooks';
import type { CertificateContent, CertificateTable, Paper } from '../certificate/certificate.ts';
import { errorChart } from '../certificate/chart.ts';
import { certificateContent } from '../certificate/content.ts';
import { DASH } from '../certificate/stops-text.ts';
import { STAGES } from '../record/job.ts';
import { ownTimeZone, saveCertificate, unprintableIn } from './actions/papers.ts';
import { certifiedFirings } from './actions/readings.ts';
import { ChartDrawing } from './chart-drawing.tsx';
import { useView } from './view.ts';

/** What will be printed, and the button that saves it. */
export function CertificateScreen() {
  const job = useView((v) => v.job);
  const workshop = useView((v) => v.workshop);
  const readings = useView((v) => v.readings);
  const unreadable = useView((v) => v.unreadable);
  const [paper, setPaper] = useState<Paper>('A4');
  const [progress, setProgress] = useState<{ words: string; part: number } | null>(null);
  const [outcome, setOutcome] = useState('');
  const content = useMemo(
    () =>
      job &&
      certificateContent({
        workshop,
        job,
        firings: certifiedFirings(readings, job),
        issued: new Date().toISOString(),
        certificateNumber: `${job.number}-…`,
        paper,
        timeZone: ownTimeZone(),
        unreadable,
      }),
    [job, workshop, readings, paper, unreadable],
  );
  const [unprintable, setUnprintable] = useState<readonly string[]>([]);
  const texts = job && JSON.stringify([job.customer, job.camera, job.complaint, workshop]);
  // Only the user's own words can hold such characters, so nothing else asks again.
  useEffect(() => {
    let wanted = true;
    if (content)
      void unprintableIn(content).then((found) => {
        if (wanted) setUnprintable(found);
      });
    return () => {
      wanted = false;
    };
  }, [texts]);
  if (!job || !content)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>A certificate belongs to a job. Open one, or make one, first.</p>
        <a class="button" href="#start">
          To the jobs
        </a>
      </main>
    );

  async function save() {
    setOutcome('');
    setProgress({ words: 'preparing', part: 0 });
    try {
      const name = await saveCertificate(paper, (words, part) => setProgress({ words, part }));
      setOutcome(`Saved as ${name}.`);
    } catch (error) {
      setOutcome(`The certificate was not written. ${(error as Error).message}`);
    } finally {
      setProgress(null);
    }
  }

  return (
    <main class="sheet">
      <h1>{content.title}</h1>
      <p class="quiet">{content.subtitle}</p>
      <div class="row below">
        <button
          type="button"
          class="main"
          onClick={() => void save()}
          disabled={progress !== null}
          data-action="save-pdf"
        >
          Save the certificate (PDF)
        </button>
        <label class="row">
          paper
          <select value={paper} onChange={(e) => setPaper(e.currentTarget.value as Paper)}>
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
      {unprintable.length > 0 && (
        <p class="trouble" role="alert" data-unprintable={unprintable.join('')}>
          These characters can’t be printed and would stand as open squares: {unprintable.join(' ')}
        </p>
      )}
      {content.notices.map((notice) => (
        <p key={notice} class="trouble">
          {notice}
        </p>
      ))}
      <SectionCard section={content.result} />
      <section class="card below scrolls">
        <table data-table="certificate">
          <thead>
            <tr>
              <th scope="col" rowSpan={2}>
                mark
              </th>
              <th scope="col" rowSpan={2}>
                reference
              </th>
              <th scope="col" rowSpan={2}>
                band
              </th>
              <th scope="colgroup" colSpan={5} class="left">
                as found
              </th>
              <th scope="colgroup" colSpan={5} class="left">
                as left
              </th>
            </tr>
            <tr>
              {STAGES.map((stage) =>
                ['n', 'mean', 'EV ± U', 'spread', 'verdict'].map((head) => (
                  <th scope="col" key={stage + head} class={head === 'verdict' ? 'left' : ''}>
                    {head}
                  </th>
                )),
              )}
            </tr>
          </thead>
          <tbody>
            {content.rows.map((row) => (
              <tr key={row.mark} data-mark={row.mark}>
                <td>{row.mark}</td>
                <td>{row.reference}</td>
                <td class="words">{row.band}</td>
                {STAGES.map((stage) => {
                  const f = row.stages[stage];
                  return [
                    <td key={`${stage}n`}>{f.n}</td>,
                    <td key={`${stage}m`}>{f.mean}</td>,
                    <td key={`${stage}e`}>
                      <Pair upper={f.error} lower={f.uncertainty} />
                    </td>,
                    <td key={`${stage}s`}>
                      <Pair upper={f.spread} lower={f.repeats} />
                    </td>,
                    <td key={`${stage}v`} class={`left words ${f.beyond ? 'beyond' : ''}`}>
                      <Pair upper={f.verdict} lower={f.conformity === DASH ? '' : `P ${f.conformity}`} />
                    </td>,
                  ];
                })}
              </tr>
            ))}
          </tbody>
        </table>
        {content.key.map((sentence) => (
          <p class="quiet" key={sentence}>
            {sentence}
          </p>
        ))}
      </section>
      <section class="card below">
        <ChartDrawing
          primitives={errorChart(content.chart, 560, 170)}
          width={560}
          height={170}
          description={content.chart.description}
        />
      </section>
      {content.tables.map((table) => (
        <TableCard key={table.heading} table={table} />
      ))}
      {content.comparisons.map((comparison) => (
        <section class="card below" key={comparison.heading}>
          <h2>{comparison.heading}</h2>
          <table>
            <thead>
              <tr>
                <th scope="col"> </th>
                <th scope="col" class="left">
                  as found
                </th>
                <th scope="col" class="left">
                  as left
                </th>
              </tr>
            </thead>
            <tbody>
              {comparison.rows.map(({ label, stages }) => (
                <tr key={label}>
                  <td>{label}</td>
                  <td class="left words">{stages['as found']}</td>
                  <td class="left words">{stages['as left']}</td>
                </tr>
              ))}
            </tbody>
          </table>
          {comparison.notes.map((note) => (
            <p key={note}>{note}</p>
          ))}
        </section>
      ))}
      <div class="sections">
        {content.sections.map((section) => (
          <SectionCard key={section.heading} section={section} />
        ))}
      </div>
    </main>
  );
}

/** What belongs to one figure stands under it; the same twice, a dash, is written once. */
function Pair({ upper, lower }: { upper: string; lower: string }) {
  return (
    <>
      {upper}
      {lower !== '' && lower !== upper && <div class="quiet">{lower}</div>}
    </>
  );
}

function TableCard({ table }: { table: CertificateTable }) {
  const side = (index: number) => (table.columns[index]!.align === 'left' ? 'left' : '');
  return (
    <section class="card below scrolls">
      <h2>{table.heading}</h2>
      {table.rows.length > 0 && (
        <table>
          <thead>
            <tr>
              {table.columns.map(({ head }, index) => (
                <th scope="col" key={head} class={side(index)}>
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {table.rows.map(([mark, ...cells]) => (
              <tr key={mark}>
                <th scope="row" class={side(0)}>
                  {mark}
                </th>
                {cells.map((cell, index) => (
                  <td key={table.columns[index + 1]!.head} class={side(index + 1)}>
                    {cell}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {table.notes.map((note) => (
        <p class="quiet" key={note}>
          {note}
        </p>
      ))}
    </section>
  );
}

function SectionCard({ section }: { section: CertificateContent['result'] }) {
  return (
    <section class="card below">
      <h2>{section.heading}</h2>
      {section.paragraphs.map((p) => (
        <p key={p}>{p}</p>
      ))}
      {section.items.length > 0 && (
        <ul>
          {section.items.map((item) => (
            <li key={item}>{item}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
