import { budgetLineRows, budgetTotals } from '../certificate/budget-rows.ts';
import { notStatedWords } from '../judge/budget-words.ts';
import type { Budget } from '../judge/verdict.ts';

interface Props {
  readonly mark: string;
  readonly budget: Budget | null;
  /** Shows the origins at once. */
  readonly origins?: boolean;
}

/** One mark's uncertainty budget, line by line, with the origin of each line under it. */
export function BudgetTable({ mark, budget, origins = false }: Props) {
  if (budget === null)
    return (
      <p class="quiet">No budget for {mark} yet: it takes two firings that count, and a mark with a time.</p>
    );
  const totals = budgetTotals(budget);
  const notStated = notStatedWords(budget.notStated);
  return (
    <>
      <div class="scrolls">
        <table data-table="budget">
          <caption>Uncertainty of the mean error at {mark}</caption>
          <thead>
            <tr>
              <th scope="col">source</th>
              <th scope="col">type</th>
              <th scope="col" class="left">
                distribution
              </th>
              <th scope="col">u, EV</th>
              <th scope="col">degrees of freedom</th>
            </tr>
          </thead>
          <tbody>
            {budgetLineRows(budget).map((line) => (
              <tr key={line.source} title={line.origin}>
                <th scope="row">{line.source}</th>
                <td>{line.type}</td>
                <td class="left">{line.distribution}</td>
                <td>{line.u}</td>
                <td>{line.dof}</td>
              </tr>
            ))}
            <tr class="total">
              <th scope="row">combined</th>
              <td />
              <td />
              <td>{totals.combined}</td>
              <td>{totals.dof}</td>
            </tr>
          </tbody>
        </table>
      </div>
      <p data-budget="expanded">
        U = {totals.expanded} EV ({totals.percent} % of the time), k = {totals.k}, for about 95 %.
      </p>
      {notStated !== null && <p class="trouble">{notStated}</p>}
      <details open={origins}>
        <summary>Where each line comes from</summary>
        <ul class="plain">
          {budgetLineRows(budget).map((line) => (
            <li key={line.source}>
              <strong>{line.source}</strong>: {line.origin}
            </li>
          ))}
        </ul>
      </details>
    </>
  );
}
