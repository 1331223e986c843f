/** Notes which boards were connected here, and what their last checks found. Practice boards are not noted. */
import type { Hello } from '../../../firmware-protocol/messages.ts';
import type { Check } from '../../record/job.ts';
import type { KnownBoard } from '../../record/preferences.ts';
import { type View, view } from '../view.ts';
import { say } from './notices.ts';
import { record } from './record.ts';

/** The clock check goes on for ever; so often at most is it noted. */
const CLOCK_EVERY_MS = 60_000;

/** Follows connection and checks from now on. */
export function noteKnownBoards(): void {
  let clockNoted = 0;
  view.subscribe((now, before) => {
    const hello = liveHello(now);
    if (!hello) return;
    const at = new Date().toISOString();
    if (hello !== liveHello(before)) {
      clockNoted = 0;
      note(hello, at, {});
    }
    if (now.clock && now.clock !== before.clock && performance.now() - clockNoted > CLOCK_EVERY_MS) {
      clockNoted = performance.now();
      note(hello, at, { clock: { at, correction: now.clock } });
    }
    for (const check of newChecks(now, before)) note(hello, at, found(check));
  });
}

const liveHello = ({ session, source }: View): Hello | null =>
  (source === 'serial' || source === 'usb') && session.phase === 'live' ? session.hello : null;

/** Checks that were made just now: another job that is opened brings none of this board's. */
const newChecks = ({ job }: View, before: View): readonly Check[] =>
  job && job.id === before.job?.id && job.checks.length > before.job.checks.length
    ? job.checks.slice(before.job.checks.length)
    : [];

function found(check: Check): Partial<KnownBoard> {
  switch (check.kind) {
    case 'light':
      return { lightCheck: { at: check.at, problems: check.result.problems.length } };
    case 'reference light':
      return { referenceLight: { at: check.at, passed: check.result.passed } };
    default:
      return {};
  }
}

const imageOf = ({ image }: Hello) => image.toString(16).padStart(8, '0');

/** Whether an entry is this board's; boards without a serial number share one by model and firmware image. */
export const isEntryOf = (hello: Hello, known: KnownBoard): boolean =>
  hello.serial !== ''
    ? known.serial === hello.serial
    : known.serial === '' && known.board === hello.board && known.image === imageOf(hello);

function note(hello: Hello, at: string, news: Partial<KnownBoard>): void {
  const { boards } = view.getState();
  const before = boards.find((known) => isEntryOf(hello, known));
  const known: KnownBoard = {
    clock: null,
    lightCheck: null,
    referenceLight: null,
    ...before,
    serial: hello.serial,
    board: hello.board,
    firmware: hello.firmware,
    image: imageOf(hello),
    lastSeen: at,
    ...news,
  };
  view.setState({ boards: [known, ...boards.filter((other) => other !== before)] });
  void write(known);
}

let troubleSaid = false;

async function write(known: KnownBoard): Promise<void> {
  try {
    await (await record()).noteBoard(known);
  } catch (error) {
    if (!troubleSaid) say(`The board was not noted. ${(error as Error).message}`, 'trouble');
    troubleSaid = true;
  }
}
