import type { IssuedPaper } from '../record/job.ts';
import { momentText } from './day-text.ts';
import { useView } from './view.ts';

/** Papers that this job was given, the newest first. */
export function IssuedPapers({ issued }: { issued: readonly IssuedPaper[] }) {
  const { dates } = useView((v) => v.preferences).papers;
  return (
    <section class="card below scrolls" aria-label="Papers issued">
      <h2>Papers issued</h2>
      {issued.length === 0 ? (
        <p class="quiet">None yet. Each paper that is saved is noted here with its number.</p>
      ) : (
        <table data-table="issued">
          <thead>
            <tr>
              <th scope="col">Number</th>
              <th scope="col" class="left">
                Paper
              </th>
              <th scope="col" class="left">
                Issued
              </th>
              <th scope="col" class="left">
                SHA-256 of its readings
              </th>
            </tr>
          </thead>
          <tbody>
            {issued.toReversed().map(({ kind, number, at, dataSha256 }) => (
              <tr key={`${kind} ${number}`} data-issued={number}>
                <th scope="row">{number}</th>
                <td class="left">{kind}</td>
                <td class="left">{momentText(at, dates)}</td>
                <td class="left words hash">{dataSha256 ?? '–'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}
