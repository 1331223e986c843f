import type { CsvSeparator } from '../../certificate/results-csv-cells.ts';
import type { Job } from '../../record/job.ts';
import { view } from '../view.ts';
import { plainName, saveFile } from './files.ts';
import { say } from './notices.ts';
import { certifiedFirings } from './readings.ts';

/** Hands the user the table of marks or of firings of the open job. */
export async function saveResults(
  job: Job,
  what: 'results' | 'firings',
  separator: CsvSeparator,
): Promise<void> {
  try {
    const { firingsCsv, resultsCsv } = await import('../../certificate/results-csv.ts');
    const firings = certifiedFirings(view.getState().readings, job);
    const text = (what === 'results' ? resultsCsv : firingsCsv)(job, firings, separator);
    const name = [what, plainName(job.number), plainName(job.camera.description)].filter(Boolean).join('-');
    saveFile(`${name}.csv`, new Blob([text], { type: 'text/csv;charset=utf-8' }));
  } catch (error) {
    say(`The table was not written. ${(error as Error).message}`, 'trouble');
  }
}
