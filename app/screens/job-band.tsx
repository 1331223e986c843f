import { useState } from 'preact/hooks';
import { BAND_PRESETS } from '../judge/bands.ts';
import type { Band } from '../judge/verdict.ts';
import { bandWords } from '../judge/verdict-words.ts';
import type { Job } from '../record/job.ts';
import { DraftField } from './draft-field.tsx';
import { changedBand, limitText } from './mark-fields.tsx';

/** How the readings of a job are judged; a new job starts with those of the settings. */
export type Judging = Pick<
  Job,
  'band' | 'bandUnit' | 'decisionRule' | 'spreadLimit' | 'leastFirings' | 'flashDuration'
>;

export interface JudgingProps {
  readonly value: Judging;
  readonly change: (part: Partial<Judging>, words: string) => void;
  /** What the names of its fields begin with. */
  readonly prefix?: string;
}

/** Limits of the mean error at every mark that has none of its own. */
export function BandFields({ value: { band, bandUnit }, change, prefix = '' }: JudgingProps) {
  const [problem, setProblem] = useState('');
  const preset = BAND_PRESETS.find((p) => p.band.lower === band.lower && p.band.upper === band.upper);
  const set = (side: keyof Band, text: string) => {
    const changed = changedBand(band, side, text, bandUnit);
    setProblem(changed.ok ? '' : changed.problem);
    if (changed.ok) change({ band: changed.band }, 'band');
  };
  return (
    <>
      <label class="wide">
        band
        <select
          value={preset?.id ?? 'own'}
          onChange={(e) => {
            const chosen = BAND_PRESETS.find((p) => p.id === e.currentTarget.value);
            if (chosen) change({ band: chosen.band }, 'band');
          }}
          data-field={`${prefix}band`}
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
            change({ bandUnit: unit }, 'unit of the limits');
          }}
          data-field={`${prefix}band-unit`}
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
            value={limitText(band[side], bandUnit)}
            commit={(text) => set(side, text)}
            data-field={`${prefix}band-${side}`}
          />
        </label>
      ))}
      <p class="wide quiet">{preset ? `Preset: ${preset.origin}.` : 'Own limits.'}</p>
      {problem && <p class="wide trouble">{problem}</p>}
    </>
  );
}
