import type {
  CertificateContent,
  CertificateTable,
  Comparison,
  Section,
} from '../certificate/certificate.ts';
import { DASH } from '../certificate/stops-text.ts';
import { PAPER_STAGES } from '../record/job.ts';

/** All figures of as found and as left, as they stand overleaf. */
export function SpeedsPreview({ content }: { content: CertificateContent }) {
  return (
    <section class="card below scrolls" aria-label="Figures of all marks">
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
            {PAPER_STAGES.map((stage) => (
              <th scope="colgroup" colSpan={5} class="left" key={stage}>
                {stage}
              </th>
            ))}
          </tr>
          <tr>
            {PAPER_STAGES.map((stage) =>
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
              <th scope="row">{row.mark}</th>
              <td>{row.reference}</td>
              <td class="words">{row.band}</td>
              {PAPER_STAGES.map((stage) => {
                const f = row.stages[stage];
                return [
                  <td key={`${stage}n`}>{f.n}</td>,
                  <td key={`${stage}m`}>
                    <Pair upper={f.mean} lower={f.fraction} />
                  </td>,
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

export function TableCard({ table }: { table: CertificateTable }) {
  const side = (index: number) => (table.columns[index]!.align === 'left' ? 'left words' : '');
  return (
    <section class="card below scrolls" aria-label={table.heading}>
      <h3>{table.heading}</h3>
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
            {table.rows.map(([first, ...cells], row) => (
              <tr key={row}>
                <th scope="row" class={side(0)}>
                  {first}
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
      {table.notes.map((note, index) => (
        <p class="quiet" key={index}>
          {note}
        </p>
      ))}
    </section>
  );
}

export function ComparisonCard({ comparison }: { comparison: Comparison }) {
  return (
    <section class="card below scrolls" aria-label={comparison.heading}>
      <h3>{comparison.heading}</h3>
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">What</span>
            </th>
            {PAPER_STAGES.map((stage) => (
              <th scope="col" class="left" key={stage}>
                {stage}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {comparison.rows.map(({ label, stages }) => (
            <tr key={label}>
              <th scope="row">{label}</th>
              {PAPER_STAGES.map((stage) => (
                <td class="left words" key={stage}>
                  {stages[stage]}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      {comparison.notes.map((note) => (
        <p key={note}>{note}</p>
      ))}
    </section>
  );
}

export function SectionCard({ section }: { section: Section }) {
  return (
    <section class="card below">
      <h3>{section.heading}</h3>
      {section.paragraphs.map((paragraph, index) => (
        <p key={index}>{paragraph}</p>
      ))}
      {section.items.length > 0 && (
        <ul>
          {section.items.map((item, index) => (
            <li key={index}>{item}</li>
          ))}
        </ul>
      )}
    </section>
  );
}

interface Head {
  readonly title: string;
  readonly subtitle: string;
  readonly notices: readonly string[];
}

/** What stands above everything else on a paper. */
export function PaperHead({ content: { title, subtitle, notices } }: { readonly content: Head }) {
  return (
    <>
      <h2>{title}</h2>
      <p class="quiet">{subtitle}</p>
      {notices.map((notice) => (
        <p key={notice} class="trouble">
          {notice}
        </p>
      ))}
    </>
  );
}
