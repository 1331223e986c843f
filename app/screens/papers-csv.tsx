import { useState } from 'preact/hooks';
import type { CsvSeparator } from '../certificate/results-csv-cells.ts';
import type { Job } from '../record/job.ts';
import { saveResults } from './actions/results-csv.ts';

/** The figures for a spreadsheet. */
export function ResultsTable({ job }: { job: Job }) {
  const [separator, setSeparator] = useState<CsvSeparator>(usualSeparator);
  return (
    <fieldset class="row plain">
      <legend>For a spreadsheet (CSV)</legend>
      <button
        type="button"
        onClick={() => void saveResults(job, 'results', separator)}
        data-action="save-csv"
      >
        Results
      </button>
      <button
        type="button"
        onClick={() => void saveResults(job, 'firings', separator)}
        data-action="save-firings-csv"
      >
        Every firing
      </button>
      <label class="row">
        numbers as
        <select
          value={separator}
          onChange={(e) => setSeparator(e.currentTarget.value as CsvSeparator)}
          data-control="separator"
        >
          <option value=",">0.5 (comma between cells)</option>
          <option value=";">0,5 (semicolon between cells)</option>
        </select>
      </label>
    </fieldset>
  );
}

/** As spreadsheets of this browser's language expect it. */
const usualSeparator = (): CsvSeparator => ((0.5).toLocaleString().includes(',') ? ';' : ',');
