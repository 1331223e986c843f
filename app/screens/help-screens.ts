/** What each screen is for, and its keys. */
import type { Screen } from './view.ts';

type KeyLine = readonly [keys: readonly string[], words: string];

interface ScreenHelp {
  readonly title: string;
  readonly purpose: readonly string[];
  readonly keys: readonly KeyLine[];
}

export const EVERYWHERE_KEYS: readonly KeyLine[] = [
  [['1', '…', '9'], 'go to a screen, in the order of their names'],
  [['?'], 'open and close this help'],
];

export const SCREEN_HELP: Readonly<Record<Screen, ScreenHelp>> = {
  start: {
    title: 'Start',
    purpose: [
      'Connect a tester board (a bare one gets its firmware from here), or open the practice bench, which runs the same firmware with an invented shutter. Then make a job, or open one: every reading belongs to a camera.',
      'Everything stays in this browser. Nothing is sent anywhere.',
    ],
    keys: [],
  },
  jobs: {
    title: 'Jobs',
    purpose: [
      'All cameras that came in, with the state they are in. Type to search number, customer, camera and serial numbers. A camera that has been here before shows its earlier jobs.',
      'A job that is taken off the list is kept and can be brought back.',
    ],
    keys: [],
  },
  job: {
    title: 'Job',
    purpose: [
      'Whose camera it is, what ails it, which speeds it has and what they are judged by; how the shutter stands at each stage; what was done; notes and pictures. Fields are kept when you leave them.',
      'Read as found before anything is done to the camera. Let a parcel reach room temperature first, and never read a shutter that is wet with solvent.',
    ],
    keys: [],
  },
  checks: {
    title: 'Instrument',
    purpose: [
      'Checks of light, sensor, clock and contact lead, before readings rest on them. Say how light and sensor stand: that is usually the largest error, and only you know it.',
      'Never connect a flash unit to the contact lead: old ones put hundreds of volts on it, and their capacitors stay charged.',
    ],
    keys: [[['Space'], 'release of the practice shutter, where it is connected']],
  },
  bench: {
    title: 'Bench',
    purpose: [
      'Set the dial of the camera and the same mark here, then fire: each firing is measured, kept and judged without a click. A firing that lies far from its mark raises a question; it is never moved by itself.',
      'Keys, or a pedal, can be bound to what you do most: in Settings.',
    ],
    keys: [
      [['↑', '↓'], 'the mark before, the next mark'],
      [['←', '→'], 'look back and forward through the firings'],
      [['S'], 'the next stage'],
      [['V'], 'another view: one reading, side by side, across the room'],
      [['R'], 'the last mark once more'],
      [['N'], 'leave out this step of the programme'],
      [['L'], 'say the reading again'],
      [['M'], 'move the firing to another mark'],
      [['K'], 'keep it at its mark, when asked'],
      [['A'], 'set the firing aside, or bring it back'],
      [['E'], 'the shutter was exercised before it'],
      [['D', 'O', 'X'], 'did not fire, stuck open, not tried'],
      [['U'], 'undo'],
      [['B'], 'the uncertainty budget'],
      [['W'], 'note what was done to the shutter'],
      [['Space'], 'release of the practice shutter'],
      [['[', ']'], 'dial of the practice shutter'],
      [[',', '.'], 'governor of the practice shutter'],
    ],
  },
  results: {
    title: 'Results',
    purpose: [
      'All speeds at once: error against the mark, spread, odds and uncertainty, two stages beside each other. Choose a mark to see its light curves, its firings in their order and what they suggest.',
    ],
    keys: [
      [['←', '→'], 'the mark, firing or instant beside it, when a chart has the focus'],
      [['↑', '↓'], 'another firing, over the light curves'],
      [['Home', 'End'], 'the first, the last'],
    ],
  },
  camera: {
    title: 'Camera',
    purpose: [
      'What a camera has besides its speeds: flash contact, self-timer, exposure meter and a list of mechanical checks. Whatever was not tested is said on the papers.',
      'Never use the self-timer of a shutter that was not serviced: it can jam.',
    ],
    keys: [],
  },
  certificate: {
    title: 'Papers',
    purpose: [
      'The certificate or test report, the working speeds card and the job sheet, as PDF; results for a spreadsheet; and a check of a paper that comes back. Papers are made on this computer.',
      'No paper claims an accreditation: it says who measured, with what, and how well.',
    ],
    keys: [],
  },
  settings: {
    title: 'Settings',
    purpose: [
      'Who the workshop is, what new jobs start with, lists of your own, sound and keys, known boards, and the data: save everything in a file from time to time.',
    ],
    keys: [[['Esc'], 'leave a key unbound, while one is being bound']],
  },
};
