/** What is said about putting the firmware on a board: what is there now, how far it is, what to try. */
import type { Hello } from '../../firmware-protocol/messages.ts';
import type { CarriedFirmware } from './actions/carried-firmware.ts';
import type { Flashing, FlashTrouble, View } from './view.ts';

type Session = View['session'];
type FlashingStep = Extract<Flashing, { phase: 'working' }>['step'];

export interface PresentProgram {
  readonly words: string;
  /** Leafclock's own: nothing is lost that the page can't put on again. */
  readonly isOurs: boolean;
}

/** What runs on the board at hand, as far as that is known. `carried`: null while it is being fetched. */
export function presentProgram(
  session: Session,
  source: View['source'],
  carried: CarriedFirmware | null,
): PresentProgram {
  const isBoard = source === 'serial' || source === 'usb';
  if (isBoard && session.phase === 'live') return introducedProgram(session.hello, carried);
  if (isBoard && session.phase === 'refused') {
    const words = refusedWords[session.reason];
    if (words !== undefined) return { words, isOurs: session.reason === 'older protocol' };
  }
  return { words: 'No board is connected: the browser asks which port it is.', isOurs: false };
}

const somethingElse = 'Something else runs on this board, if it is one.';
const refusedWords: Partial<Record<Extract<Session, { phase: 'refused' }>['reason'], string>> = {
  'nothing heard': 'A bare board is silent like this, and so are some that run another program.',
  'sends text': somethingElse,
  'wrong speed': somethingElse,
  'not a tester': somethingElse,
  'older protocol': 'This board has a Leafclock firmware that is too old for this page.',
};

/** The board that the carried firmware is built for, by the name it gives itself. */
const MODEL = 'ATmega328P';

function introducedProgram(hello: Hello, carried: CarriedFirmware | null): PresentProgram {
  const { board, firmware, image } = hello;
  if (board !== MODEL)
    return {
      words: `The connected board calls itself ${board}. It is a tester already, and this firmware may not be for it.`,
      isOurs: false,
    };
  const has = `The connected board has firmware ${firmware}`;
  if (!carried) return { words: `${has}.`, isOurs: true };
  const words =
    image === carried.check
      ? `${has}, just what the page brings. Put it on anew only if the board misbehaves.`
      : firmware === carried.version
        ? `${has}, as the page does, but built otherwise (image ${hex(image)}; the page’s is ${hex(carried.check)}).`
        : `${has}, the page brings ${carried.version}.`;
  return { words, isOurs: true };
}

const hex = (check: number) => check.toString(16).padStart(8, '0');

/** In the order in which they come. */
export const STAGES = ['find', 'write', 'check', 'connect'] as const;
export type Stage = (typeof STAGES)[number];

export const stageWords: Readonly<Record<Stage, string>> = {
  find: 'Look for the boot loader',
  write: 'Write the firmware',
  check: 'Read it back and compare',
  connect: 'Start the board and connect it',
};

export const stageOf: Readonly<Record<FlashingStep, Stage>> = {
  loading: 'find',
  'looking for the boot loader': 'find',
  writing: 'write',
  verifying: 'check',
  starting: 'connect',
  connecting: 'connect',
};

const otherCable = 'another cable, a short one, plugged straight into the computer';
const bare =
  'nothing but USB on the board: unplug lamp, sensor and contact lead, above all from D0, D1 and reset';
const otherPort = 'another port, if this one belongs to something else';

/** What may help, the likeliest first. */
export const toTry: Readonly<Record<FlashTrouble, readonly string[]>> = {
  'no boot loader': [
    'press the board’s reset button as the search begins, and again each second',
    otherPort,
    bare,
    otherCable,
  ],
  'other chip': ['another board of the Uno or Nano class', otherPort],
  'image does not fit': [],
  'line damaged': [otherCable, bare],
  gone: [otherCable],
  'verify failed': [otherCable, bare, 'another board: a chip that was written very often wears out'],
  'could not open': [
    'close the serial monitor, other tabs and other programs that use the port',
    'unplug the board and plug it in again',
  ],
  'given up': [],
  'not loaded': [],
  'in another tab': [],
  'no introduction': [
    'press the board’s reset button, then “Connect a board”',
    bare,
    'unplug the board and plug it in again',
  ],
};
