import { useState } from 'preact/hooks';
import { BAND_PRESETS } from '../judge/bands.ts';
import type { Band } from '../judge/verdict.ts';
import { bandWords } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';
import { changedBand, limitText } from './mark-fields.tsx';

/** Limits of the mean error at every mark that has none of its own. */
export function BandFields({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  const { bandUnit } = job;
  const preset = BAND_PRESETS.find((p) => p.band.lower === job.band.lower && p.band.upper === job.band.upper);
  const set = (side: keyof Band, text: string) => {
    const changed = changedBand(job.band, side, text, bandUnit);
    setProblem(changed.ok ? '' : changed.problem);
    if (changed.ok) changeJob((j) => ({ ...j, band: changed.band }), 'band');
  };
  return (
    <>
      <label class="wide">
        band
        <select
          value={preset?.id ?? 'own'}
          onChange={(e) => {
            const chosen = BAND_PRESETS.find((p) => p.id === e.currentTarget.value);
            if (chosen) changeJob((j) => ({ ...j, band: chosen.band }), 'band');
          }}
          data-field="band"
        >
          {BAND_PRESETS.map((p) => (
            <option key={p.id} value={p.id}>
              {bandWords(p.band, bandUnit)}: {p.purpose}
            </option>
          ))}
          <option value="own" disabled>
            own limits
          </option>
        </select>
      </label>
      <label>
        limits are written in
        <select
          value={bandUnit}
          onChange={(e) => {
            const unit = e.currentTarget.value as Job['bandUnit'];
            changeJob((j) => ({ ...j, bandUnit: unit }), 'unit of the limits');
          }}
          data-field="band-unit"
        >
          <option value="EV">EV (stops)</option>
          <option value="%">% of the time</option>
        </select>
      </label>
      {(['lower', 'upper'] as const).map((side) => (
        <label key={side}>
          {side} limit, {bandUnit}
          <DraftField
            type="number"
            step={bandUnit === 'EV' ? '0.01' : '1'}
            value={limitText(job.band[side], bandUnit)}
            commit={(text) => set(side, text)}
            data-field={`band-${side}`}
          />
        </label>
      ))}
      <p class="wide quiet">
        {preset ? `Preset: ${preset.origin}.` : 'Own limits.'} A change of band or rule changes verdicts,
        never readings.
      </p>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}
