import { setSamplingRate } from './actions/connection.ts';
import type { RateSetting } from './actions/rate-memory.ts';
import { useView, type View } from './view.ts';

const choices: readonly { readonly setting: RateSetting; readonly words: string }[] = [
  { setting: 'automatic', words: 'Automatic: the fast rate wherever board and cable prove clean' },
  { setting: 'normal', words: 'Always the normal rate' },
];

/** How often the light is sampled, and why not more often. */
export function SamplingRateSettings() {
  const rate = useView((v) => v.rate);
  const setting = useView((v) => v.rateSetting);
  const mayTryAgain = setting === 'automatic' && rate?.inUse === 'normal';
  return (
    <section class="card below">
      <h2>Sampling rate</h2>
      <p class="quiet">
        The fast rate samples the light twice as often, so that ISO 516’s bandwidth holds for times half as
        long. It asks more of the cable: where parts of the stream are lost, the normal rate takes over.
      </p>
      <fieldset aria-label="Sampling rate" class="plain-set">
        {choices.map(({ setting: one, words }) => (
          <label key={one} class="choice">
            <input
              type="radio"
              name="sampling-rate"
              checked={setting === one}
              onChange={() => void setSamplingRate(one)}
              data-rate={one}
            />{' '}
            {words}
          </label>
        ))}
      </fieldset>
      <p role="status" data-rate-in-use={rate?.inUse ?? ''}>
        {rate && (
          <>
            In use now: the {rate.inUse} rate. <span class="quiet">{rate.whyNotFast}</span>
          </>
        )}
      </p>
      {mayTryAgain && (
        <button type="button" onClick={() => void setSamplingRate('automatic')} data-action="try-fast-rate">
          Try the fast rate again
        </button>
      )}
    </section>
  );
}

/** The rate in force, in short: for the line that tells how the board is. */
export function RateInUse({ rate }: Pick<View, 'rate'>) {
  if (!rate) return null;
  return (
    <span data-rate-in-use={rate.inUse} title={rate.whyNotFast ?? undefined}>
      {' '}
      · {rate.inUse} rate
    </span>
  );
}
