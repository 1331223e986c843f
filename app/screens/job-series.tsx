import { useState } from 'preact/hooks';
import { readOwnSeries } from '../judge/own-series.ts';
import { BUILT_IN_SERIES } from '../judge/series.ts';
import type { Series } from '../judge/verdict.ts';
import type { Job } from '../record/job.ts';
import { withSeries } from '../record/with-series.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';
import { useView } from './view.ts';

/** The marks on the speed ring, and what they are compared with. */
export function SeriesFields({ job, fired }: { job: Job; fired: boolean }) {
  const [problem, setProblem] = useState('');
  const own = useView((v) => v.preferences.series);
  const offered = [...BUILT_IN_SERIES, ...own];
  const labels = labelsOf(job.series);
  const choose = (series: Series) => {
    try {
      withSeries(job, series);
    } catch (error) {
      setProblem((error as Error).message);
      return;
    }
    setProblem('');
    changeJob((j) => withSeries(j, series), 'series');
  };
  // The job's series is its own copy: a series edited since then is another one.
  const chosen = offered.find(({ id }) => id === job.series.id);
  return (
    <>
      <label>
        series on the speed ring
        <select
          value={chosen && labelsOf(chosen) === labels ? chosen.id : ''}
          disabled={fired}
          onChange={(e) => {
            const series = offered.find(({ id }) => id === e.currentTarget.value);
            if (series) choose(series);
          }}
          data-field="series-choice"
        >
          {offered.map((series) => (
            <option key={series.id} value={series.id}>
              {series.name}
            </option>
          ))}
          <option value="" disabled>
            own list (write it below)
          </option>
        </select>
      </label>
      <label class="wide">
        marks (edit for a list of your own)
        <DraftField
          value={labels}
          disabled={fired}
          commit={(text) => {
            const read = readOwnSeries(text);
            if (read.ok) choose(read.series);
            else setProblem(read.problems.map((p) => p.sentence).join(' '));
          }}
          data-field="series"
        />
      </label>
      {problem && <p class="wide trouble">{problem}</p>}
      {fired && (
        <p class="wide quiet">
          The series is fixed once a firing has been recorded. Make a new job for another.
        </p>
      )}
      <label class="wide">
        compared with
        <select
          value={job.referenceRule}
          onChange={(e) => {
            const referenceRule = e.currentTarget.value as Job['referenceRule'];
            changeJob((j) => ({ ...j, referenceRule }), 'reference');
          }}
        >
          <option value="marked">the engraved time (1/60 = 16.67 ms)</option>
          <option value="exact">the exact doubling series (1/60 = 1/64 s)</option>
        </select>
      </label>
    </>
  );
}

const labelsOf = ({ speeds }: Series) => speeds.map(({ label }) => label).join(' ');
