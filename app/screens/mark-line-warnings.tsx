import { whyNotCounted } from '../judge/counted-readings.ts';
import { useView } from './view.ts';

/** Firings of the dial's mark in this stage that were made before the last work note: the mean holds them too. */
export function BeforeTheWork({ mark }: { mark: string }) {
  const job = useView((v) => v.job);
  const stage = useView((v) => v.stage);
  const readings = useView((v) => v.readings);
  const last = Math.max(-1, ...(job?.steps ?? []).map(({ afterFiring }) => afterFiring));
  const counted = readings.filter(
    (one) =>
      one.stage === stage &&
      one.mark === mark &&
      whyNotCounted({ ...one, firing: { spoilt: one.spoilt } }) === null,
  );
  const before = counted.filter(({ ordinal }) => ordinal <= last).length;
  if (before === 0 || stage === 'as found') return null;
  return (
    <strong data-line="before-the-work">
      {' · '}
      {before === counted.length ? 'all' : `${before} of ${counted.length}`} from before the last work note
    </strong>
  );
}

/** A lever left at M after the flash contact was read there: firings at X would be judged as M, and too late. */
export function LeverAtM() {
  const atM = useView((v) => v.job?.stages[v.stage].sync === 'M');
  return atM ? <strong data-line="lever-at-m"> · flash lever stated at M (Camera)</strong> : null;
}
