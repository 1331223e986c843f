/** The reference light: pulses of known length from the board's own LED. */
import { ReferenceLightCheck } from '../../measure/reference-light.ts';
import { referenceLightObstacleSentence } from '../../measure/reference-light-sentences.ts';
import { view } from '../view.ts';
import {
  abandonCheck,
  begin,
  type CheckedBoard,
  isRunning,
  keepCheck,
  type RunningCheck,
  stamped,
} from './checks.ts';

/** A train that the board says nothing of is given up after its length and this. */
const PATIENCE_MS = 3000;

/** Trains of pulses, one after the other; the board tells their exact ticks. */
export function startReferenceLight({ hello, channel, pulses, over }: CheckedBoard): void {
  const check = new ReferenceLightCheck({
    tickHz: hello.tickHz,
    ticksPerSample: hello.ticksPerConversion,
    fullScale: 2 ** hello.bits - 1,
    channel,
  });
  const show = () => view.setState({ checking: { kind: 'reference light', part: check.part } });
  let patience: ReturnType<typeof setTimeout> | undefined;
  const own: RunningCheck = {
    event: (event) => {
      check.take(event);
      if (event.kind === 'pulse') show();
      advance();
    },
    ended: () => {
      clearTimeout(patience);
      if (!check.done) void pulses(0, 0, 0).catch(() => undefined);
      over();
    },
  };
  begin(own);
  show();
  advance();

  function advance(): void {
    if (!isRunning(own)) return;
    const order = check.nextOrder();
    if (order !== null) {
      clearTimeout(patience);
      const lasts = (1000 * order.count * (order.width + order.gap)) / hello.tickHz;
      patience = setTimeout(() => giveUp('The board told of no pulses in time.'), lasts + PATIENCE_MS);
      pulses(order.width, order.gap, order.count).catch((error: Error) => giveUp(error.message));
    } else if (check.done) finish();
  }
  function giveUp(why: string): void {
    if (isRunning(own)) abandonCheck(`The reference light was not read. ${why}`);
  }
  function finish(): void {
    const { obstacle } = check;
    if (obstacle !== null) abandonCheck(referenceLightObstacleSentence(obstacle));
    else keepCheck({ kind: 'reference light', ...stamped(), result: check.result() }, 'reference light');
  }
}
