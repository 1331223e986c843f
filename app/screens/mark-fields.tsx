import { useState } from 'preact/hooks';
import { stops } from '../../firmware-protocol/units.ts';
import { ownBand, stopsToPercent } from '../judge/bands.ts';
import type { ShutterProfile } from '../judge/set-up.ts';
import type { Band } from '../judge/verdict.ts';
import type { Job } from '../record/job.ts';
import { changeJob } from './actions/jobs.ts';
import { DraftField } from './draft-field.tsx';

type Drive = 'main spring' | 'governor' | 'governor and pallet' | 'booster spring';
const DRIVES: readonly Drive[] = ['main spring', 'governor', 'governor and pallet', 'booster spring'];

/** An empty field is no number, and not zero. */
export const numberIn = (text: string): number => (text.trim() === '' ? Number.NaN : Number(text));

/** A limit in the unit that the user reads, kept in stops. */
export const limitText = (limit: number, unit: Job['bandUnit']): string =>
  String(Number((unit === 'EV' ? limit : stopsToPercent(stops(limit))).toFixed(unit === 'EV' ? 4 : 2)));

/** The band with one limit changed, or a sentence on what is wrong with it. */
export function changedBand(band: Band, side: keyof Band, text: string, unit: Job['bandUnit']) {
  // The other limit stays as it is kept, so that it isn't rounded by a look at it in percent.
  const inUnit = (limit: number) => (unit === 'EV' ? limit : stopsToPercent(stops(limit)));
  const limits = { lower: inUnit(band.lower), upper: inUnit(band.upper), [side]: numberIn(text) };
  const read = ownBand(limits.lower, limits.upper, unit === 'EV' ? 'stops' : 'percent');
  return read.ok ? { ok: true as const, band: { ...band, [side]: read.band[side] } } : read;
}

/** What each mark runs on, and limits of its own where they differ from the job's. */
export function MarkFields({ job }: { job: Job }) {
  const [problem, setProblem] = useState('');
  const timed = job.series.speeds.filter(({ marked }) => marked !== null);
  const setBand = (label: string, side: keyof Band, text: string) => {
    const changed = changedBand(job.bands[label] ?? job.band, side, text, job.bandUnit);
    setProblem(changed.ok ? '' : `${label}: ${changed.problem}`);
    if (changed.ok)
      changeJob((j) => ({ ...j, bands: { ...j.bands, [label]: changed.band } }), `limits of ${label}`);
  };
  const clear = (label: string) =>
    changeJob((j) => {
      const { [label]: _, ...bands } = j.bands;
      return { ...j, bands };
    }, `limits of ${label}`);
  return (
    <section class="card" aria-label="Marks of this shutter">
      <h2>Marks of this shutter</h2>
      <p class="quiet">
        What a mark runs on decides which findings can be told from its readings. As it stands: common
        practice, no source.
      </p>
      <div class="scrolls">
        <table class="entry" data-table="marks">
          <thead>
            <tr>
              <th scope="col">mark</th>
              <th scope="col" class="left">
                runs on
              </th>
              <th scope="col">lower, {job.bandUnit}</th>
              <th scope="col">upper, {job.bandUnit}</th>
              <th scope="col" class="left">
                limits
              </th>
            </tr>
          </thead>
          <tbody>
            {timed.map(({ label }) => {
              const own = job.bands[label];
              const band = own ?? job.band;
              return (
                <tr key={label} data-mark={label}>
                  <th scope="row">{label}</th>
                  <td class="left">
                    <select
                      aria-label={`${label} runs on`}
                      value={driveOf(job.profile, label)}
                      onChange={(e) => {
                        const drive = e.currentTarget.value as Drive;
                        changeJob(
                          (j) => ({ ...j, profile: withDrive(j.profile, label, drive) }),
                          `${label} runs on`,
                        );
                      }}
                    >
                      {DRIVES.map((drive) => (
                        <option key={drive}>{drive}</option>
                      ))}
                    </select>
                  </td>
                  {(['lower', 'upper'] as const).map((side) => (
                    <td key={side}>
                      <DraftField
                        type="number"
                        step={job.bandUnit === 'EV' ? '0.01' : '1'}
                        aria-label={`${side} limit of ${label}, ${job.bandUnit}`}
                        value={limitText(band[side], job.bandUnit)}
                        commit={(text) => setBand(label, side, text)}
                      />
                    </td>
                  ))}
                  <td class="left">
                    {own ? (
                      <button
                        type="button"
                        class="small"
                        title={`Drops the limits of ${label}’s own and takes the job’s again`}
                        onClick={() => clear(label)}
                      >
                        Drop own
                      </button>
                    ) : (
                      <span class="quiet">the job’s</span>
                    )}
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      {problem && <p class="trouble">{problem}</p>}
      <label class="tick">
        <input
          type="checkbox"
          checked={job.profile.fromCentre}
          onChange={(e) => {
            const fromCentre = e.currentTarget.checked;
            changeJob((j) => ({ ...j, profile: { ...j.profile, fromCentre } }), 'way of opening');
          }}
        />
        The blades uncover the opening from its centre (most leaf shutters): stopping down lengthens the time.
      </label>
    </section>
  );
}

function driveOf({ governed, pallet, booster }: ShutterProfile, label: string): Drive {
  if (pallet.includes(label)) return 'governor and pallet';
  if (governed.includes(label)) return 'governor';
  return booster.includes(label) ? 'booster spring' : 'main spring';
}

function withDrive(profile: ShutterProfile, label: string, drive: Drive): ShutterProfile {
  const put = (list: readonly string[], is: boolean) => [
    ...list.filter((other) => other !== label),
    ...(is ? [label] : []),
  ];
  return {
    ...profile,
    governed: put(profile.governed, drive === 'governor' || drive === 'governor and pallet'),
    pallet: put(profile.pallet, drive === 'governor and pallet'),
    booster: put(profile.booster, drive === 'booster spring'),
  };
}
