import type { StageResult } from '../certificate/stage-results.ts';
import { type Job, PAPER_STAGES, STAGES, type StageId } from '../record/job.ts';
import { StageSign } from './results-stage-sign.tsx';
import { unlikeStates } from './results-unlike-states.ts';

/** One or two stages, in the order of the work. */
export type StagePair = readonly StageId[];

const inOrder = (pair: StagePair): StagePair => STAGES.filter((stage) => pair.includes(stage));

/** As found beside as left where there are readings of both, else what there is, up to two. */
export function usualPair(taken: readonly StageId[]): StagePair {
  const papers = PAPER_STAGES.filter((stage) => taken.includes(stage));
  const others = taken.filter((stage) => !papers.some((paper) => paper === stage));
  return inOrder([...papers, ...others].slice(0, 2));
}

interface Props {
  readonly job: Job;
  readonly taken: readonly StageId[];
  readonly pair: StagePair;
  readonly results: readonly StageResult[];
  readonly choose: (pair: StagePair) => void;
}

/** Which two stages stand beside each other, and whether the shutter stood alike in them. */
export function StagePairPicker({ job, taken, pair, results, choose }: Props) {
  const [first = taken[0]!, second = taken[1]!] = pair;
  const unlike = unlikeStates(job, results);
  return (
    <section class="stage-pair" aria-label="Stages beside each other" data-pair={pair.join(' | ')}>
      {taken.length === 2 ? (
        <p>
          <StageSign stage={first} /> {first} beside <StageSign stage={second} /> {second}
        </p>
      ) : (
        <p>
          <Choice label="First stage" taken={taken} chosen={first} other={second} choose={choose} /> beside{' '}
          <Choice label="Second stage" taken={taken} chosen={second} other={first} choose={choose} />
        </p>
      )}
      {unlike.length > 0 && (
        <p class="caution" data-unlike={unlike.length}>
          Read in unlike states ({unlike.join('; ')}): a difference between the two need not come from the
          work alone.
        </p>
      )}
    </section>
  );
}

interface ChoiceProps {
  readonly label: string;
  readonly taken: readonly StageId[];
  readonly chosen: StageId;
  readonly other: StageId;
  readonly choose: (pair: StagePair) => void;
}

function Choice({ label, taken, chosen, other, choose }: ChoiceProps) {
  return (
    <>
      <StageSign stage={chosen} />{' '}
      <select
        aria-label={label}
        value={chosen}
        // Taking the other's stage puts this one's in its place.
        onChange={(e) => {
          const next = e.currentTarget.value as StageId;
          choose(inOrder([next, next === other ? chosen : other]));
        }}
      >
        {taken.map((stage) => (
          <option key={stage} value={stage}>
            {stage}
          </option>
        ))}
      </select>
    </>
  );
}
