/** The iris check: wide open against one stop down, at one mark. */
import type { Seconds } from '../../../firmware-protocol/units.ts';
import { whyNotCounted } from '../../judge/counted-readings.ts';
import { farFromMark } from '../../judge/far-from-mark.ts';
import type { IrisReading } from '../../judge/iris-check.ts';
import { notCountedWords } from '../../judge/verdict-words.ts';
import type { Firing } from '../../measure/figures.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { nextReference } from '../../measure/reference-level.ts';
import { view } from '../view.ts';
import { begin, type CheckedBoard, isRunning, keepCheck, type RunningCheck, stamped } from './checks.ts';
import { dropReference } from './held-reference.ts';
import { speedOf } from './marks.ts';

/** What is asked for on either side; three of them will do. */
export const IRIS_FIRINGS = 5;
export const LEAST_IRIS_FIRINGS = 3;

let nextIrisStep: (() => void) | null = null;
/** The user has stopped down, or is done firing. */
export const irisNext = (): void => nextIrisStep?.();

/** Firings wide open, then one stop down, at one mark. They are measured and not filed. */
export function startIrisCheck(mark: string, { over }: Pick<CheckedBoard, 'over'>): void {
  const open: IrisReading[] = [];
  const stopped: IrisReading[] = [];
  let step: 'wide open' | 'one stop down' = 'wide open';
  // The open level of before holds wide open; with the iris closed it does not.
  let reference = view.getState().reference.held;
  const show = (trouble: string) =>
    view.setState({
      checking: {
        kind: 'iris',
        mark,
        step,
        firings: { open: open.length, stopped: stopped.length },
        trouble,
      },
    });
  const firing = (firing: Firing) => {
    const figures = measureFiring(firing, { reference, clock: view.getState().clock });
    const why = whyNotCounted({ figures, firing, setAside: null, rest: null, exercised: true });
    reference = nextReference(reference, firing, figures).reference;
    // A slow firing in between shows the open level; it is none of the mark's.
    if (why === null && isOfAnotherMark(figures.effective, mark)) {
      show('That firing was far from the mark: it was taken for the open level alone.');
      return;
    }
    const shapeless = step === 'wide open' && figures.stoppedDown === null;
    if (why === null && !shapeless) (step === 'wide open' ? open : stopped).push({ figures });
    show(
      why !== null
        ? `The last firing was not taken (${notCountedWords(why)}): fire a slow mark once, with the iris as it is, to show the open level.`
        : shapeless
          ? 'The last firing was not taken: its light is too weak for the shape of the curve.'
          : '',
    );
  };
  const own: RunningCheck = {
    event: () => undefined,
    firing,
    ended: () => {
      nextIrisStep = null;
      // Nobody knows whether the iris is wide open again.
      if (step === 'one stop down') dropReference('set-up changed');
      over();
    },
  };
  begin(own);
  nextIrisStep = () => {
    if (step === 'wide open') {
      step = 'one stop down';
      reference = null;
      show('');
      return;
    }
    void read();
  };
  show('');

  async function read(): Promise<void> {
    try {
      // The distribution functions behind it are not loaded with the page.
      const { irisCheck } = await import('../../judge/iris-check.ts');
      const result = irisCheck(mark, open, stopped);
      if (isRunning(own)) keepCheck({ kind: 'iris', ...stamped(), result }, 'iris check');
    } catch (error) {
      if (isRunning(own)) show((error as Error).message);
    }
  }
}

function isOfAnotherMark(time: Seconds | null, label: string): boolean {
  const { job } = view.getState();
  const speed = job && speedOf(job, label);
  if (!job || !speed || time === null) return false;
  return farFromMark(time, speed, job.series, job.referenceRule) !== null;
}
