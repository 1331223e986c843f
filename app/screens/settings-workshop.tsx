import type { DateStyle, Preferences } from '../record/preferences.ts';
import { changeWorkshop, savePreferences } from './actions/preferences.ts';
import { DraftArea, DraftField } from './draft-field.tsx';
import { LogoField } from './settings-logo.tsx';
import { useView } from './view.ts';

/** Who the workshop is, and how its papers look. */
export function WorkshopSettings() {
  const workshop = useView((v) => v.workshop);
  return (
    <div class="columns broad">
      <section class="card fields">
        <h2 class="wide">Workshop (on every paper)</h2>
        <label>
          name
          <DraftField
            value={workshop.name}
            commit={(name) => changeWorkshop((w) => ({ ...w, name }), 'name of the workshop')}
            maxLength={200}
            data-field="workshop"
          />
        </label>
        <label>
          who signs
          <DraftField
            value={workshop.signatory}
            commit={(signatory) => changeWorkshop((w) => ({ ...w, signatory }), 'who signs')}
            maxLength={200}
            data-field="signatory"
          />
        </label>
        <label class="wide">
          address
          <DraftArea
            rows={4}
            value={workshop.address}
            commit={(address) => changeWorkshop((w) => ({ ...w, address }), 'address of the workshop')}
            data-field="address"
          />
        </label>
        <LogoField logo={workshop.logo} />
      </section>
      <PaperFields />
    </div>
  );
}

type Papers = Preferences['papers'];

const TITLES: readonly Papers['title'][] = ['certificate', 'test report'];
const SIZES: readonly (readonly [Papers['size'], string])[] = [
  ['A4', 'A4 (210 × 297 mm)'],
  ['Letter', 'Letter (8.5 × 11 in)'],
];
const DATES: readonly (readonly [DateStyle, string])[] = [
  ['day month year', '5 March 2026'],
  ['month day, year', 'March 5, 2026'],
  ['year-month-day', '2026-03-05'],
];

function PaperFields() {
  const papers = useView((v) => v.preferences.papers);
  const change = (part: Partial<Papers>, words: string) =>
    savePreferences((p) => ({ ...p, papers: { ...p.papers, ...part } }), words);
  return (
    <section class="card fields">
      <h2 class="wide">Papers</h2>
      <label>
        title of the paper
        <select
          value={papers.title}
          onChange={(e) => change({ title: e.currentTarget.value as Papers['title'] }, 'title of the papers')}
          data-field="paper-title"
        >
          {TITLES.map((title) => (
            <option key={title}>{title}</option>
          ))}
        </select>
      </label>
      <label>
        size of the sheet
        <select
          value={papers.size}
          onChange={(e) => change({ size: e.currentTarget.value as Papers['size'] }, 'size of the sheet')}
          data-field="paper-size"
        >
          {SIZES.map(([size, words]) => (
            <option key={size} value={size}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <label>
        dates are written as
        <select
          value={papers.dates}
          onChange={(e) => change({ dates: e.currentTarget.value as DateStyle }, 'way of writing dates')}
          data-field="paper-dates"
        >
          {DATES.map(([style, example]) => (
            <option key={style} value={style}>
              {example}
            </option>
          ))}
        </select>
      </label>
      <p class="wide quiet">
        Whatever its title, the paper says that it comes from no accredited laboratory. Results for a
        spreadsheet (CSV) are saved on <a href="#certificate">Papers</a>.
      </p>
    </section>
  );
}
