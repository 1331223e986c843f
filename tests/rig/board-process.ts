/**
 * The process of one emulated board: the product's firmware in the product's emulator, at the pace of the
 * clock, on a serial line. Takes orders from the test that started it (board.ts).
 */
import fs from 'node:fs';
import { CLOCK_HZ, type ResetCause } from '../../app/practice/board.ts';
import { lastLight } from '../../app/practice/firing-plan.ts';
import { PracticeCore } from '../../app/practice/practice-core.ts';
import type { TrueFiring } from '../../app/practice/true-firing.ts';
import type { BoardSettings, NumberedOrder, Order, Report } from './board-orders.ts';
import { type Damage, LineDamage } from './line-damage.ts';
import { ModemLines } from './modem-lines.ts';
import { SerialLine } from './serial-line.ts';

const settings: BoardSettings = JSON.parse(process.argv[2] as string);
const { bridge, device, modemLines, image, bootLoader, seed, pace, bootTime } = settings;

/** How long to sleep when the board is up with the clock, in ms. */
const NAP = 3;
/** From performance.now() to process.hrtime(), which all processes of a machine share, in ms. */
const CLOCK_OFFSET = Number(process.hrtime.bigint()) / 1e6 - performance.now();

let bootLoaderWrites = 0;
const core = new PracticeCore({
  image: image === null ? new Uint16Array(0x4000).fill(0xffff) : fs.readFileSync(image, 'utf8'),
  seed,
  ...(bootLoader && { bootLoader: { ...bootLoader, onWriteToSection: () => bootLoaderWrites++ } }),
});
let line: SerialLine | null = null;
let modem: ModemLines | null = null;
let damageToPage: LineDamage | null = null;
let damageToBoard: LineDamage | null = null;
let atWrongSpeed = 0;
/** Nothing that the board says comes out. */
let mute = false;
/** Wall-clock time from which the firmware runs; infinite while the port is closed. */
let runsFrom = Number.POSITIVE_INFINITY;
/** Orders that wait until the shutter has done what it does. */
let waiting: ((firing: TrueFiring) => void) | null = null;
let reported = 0;
/** See the report 'fired'. */
let lastLightAt = Number.NaN;

const report = (message: Report) => process.send?.(message);

function reportLine(): void {
  const { isOpen = false, speed = 0, dropped = 0 } = line ?? {};
  report({ report: 'line', state: { isOpen, speed, dropped, atWrongSpeed } });
}

function reportDamages(
  damages: readonly Damage[],
  direction: 'to page' | 'to board',
  fromCycle: number,
): void {
  if (damages.length === 0) return;
  const toCycle = core.cycle;
  report({
    report: 'damaged',
    damages: damages.map(({ kind }) => ({ kind, direction, fromCycle, toCycle })),
  });
}

async function plug(): Promise<void> {
  line = await SerialLine.create(bridge, device);
  modem = new ModemLines(modemLines, device);
  line.on('opened', () => {
    startFirmware(); // opening the port pulses DTR, and that resets such boards
    reportLine();
  });
  line.on('speed', reportLine);
  line.on('dropped', reportLine);
  for (const end of ['closed', 'hungUp'] as const) {
    line.on(end, () => {
      runsFrom = Number.POSITIVE_INFINITY;
      reportLine();
    });
  }
  line.on('bytes', hear);
}

async function hangUp(): Promise<void> {
  const ending = line;
  line = null;
  modem = null;
  await ending?.hangUp();
}

function startFirmware(cause: ResetCause = 'external'): void {
  core.resetBoard(cause);
  core.takeBytes();
  runsFrom = performance.now() + bootTime;
}

/** Receivers bear about this much (data sheet 20.8): 115,200 baud is 2.1 % off in a chip at 16 MHz. */
function speedsAgree(): boolean {
  return Math.abs((line?.speed ?? 0) / core.baudRate - 1) < 0.045;
}

/** What goes by while they don't agree arrives as other bytes (unlike-speeds.ts). */
function noteSpeeds(bytes: Uint8Array): void {
  if (speedsAgree()) return;
  atWrongSpeed += bytes.length;
  reportLine();
}

function hear(bytes: Uint8Array): void {
  if (performance.now() < runsFrom) return; // the bootloader makes nothing of it
  noteSpeeds(bytes);
  const passed = damageToBoard?.pass(bytes) ?? { bytes, damages: [] };
  reportDamages(passed.damages, 'to board', core.cycle);
  core.write(passed.bytes, line?.speed || undefined);
}

function say(bytes: Uint8Array, fromCycle: number): void {
  if (bytes.length === 0 || mute) return;
  noteSpeeds(bytes);
  const passed = damageToPage?.pass(bytes) ?? { bytes, damages: [] };
  reportDamages(passed.damages, 'to page', fromCycle);
  line?.write(passed.bytes);
}

/**
 * Time goes on while the port is open; while it is closed only to let a firing run to its end, since a
 * shutter doesn't wait for a cable.
 */
function goOn(): void {
  if (modem?.pulsed() && line?.isOpen) startFirmware();
  const now = performance.now();
  const fromCycle = core.cycle;
  const isBusy = core.state.blades === 'exposing' || core.state.blades === 'held open';
  let behind = false;
  if (now >= runsFrom || isBusy) {
    behind = core.advance(now * pace);
    noteLastLight(fromCycle, now, behind);
    const bytes = core.takeBytes(line?.speed || undefined);
    if (now >= runsFrom) say(bytes, fromCycle);
  }
  reportFirings();
  if (behind) setImmediate(goOn);
  else setTimeout(goOn, NAP);
}

/** `now`: before the board was run from `fromCycle` to where it stands. */
function noteLastLight(fromCycle: number, now: number, behind: boolean): void {
  const latest = core.firings.at(-1);
  if (!latest) return;
  const cycle = latest.startCycle + lastLight(latest.plan) * CLOCK_HZ;
  if (cycle <= fromCycle || cycle > core.cycle) return;
  // A board that is up with the clock stood at its present cycle just `now`; one that is behind came here later.
  const ago = behind ? 0 : (1000 * (core.cycle - cycle)) / (CLOCK_HZ * pace);
  lastLightAt = CLOCK_OFFSET + now - ago;
}

function reportFirings(): void {
  const { blades } = core.state;
  if (blades === 'exposing' || blades === 'held open') return;
  const latest = core.firings.at(-1);
  if (waiting && latest) {
    waiting(latest);
    waiting = null;
  }
  if (blades === 'stuck open') return; // its figures are known when it has been freed
  for (const firing of core.firings.slice(reported)) report({ report: 'fired', firing, lastLightAt });
  reported = core.firings.length;
}

async function obey(order: Exclude<Order, { order: 'read program' }>): Promise<TrueFiring | null> {
  switch (order.order) {
    case 'plug':
      await plug();
      return null;
    case 'hang up':
      await hangUp();
      return null;
    case 'reset':
      startFirmware(order.cause);
      return null;
    case 'mute':
      mute = order.on;
      return null;
    case 'hold up':
      line?.holdUp(order.on);
      return null;
    case 'dial':
      core.setDial(order.mark);
      return null;
    case 'condition':
      core.setCondition(order.condition);
      return null;
    case 'governor':
      core.turnGovernor(order.quarterTurns);
      return null;
    case 'light':
      core.setLight(order.levels);
      return null;
    case 'press':
      if (!core.press()) throw new Error(core.state.note);
      return null;
    case 'let go':
      core.letGo();
      return null;
    case 'free blades':
      core.freeBlades();
      return null;
    case 'fire':
      if (!core.press()) throw new Error(core.state.note);
      core.letGo();
      return untilDone();
    case 'hold open':
      if (core.state.blades !== 'at rest') throw new Error(`The blades are ${core.state.blades}`);
      core.holdOpen(order.seconds);
      return untilDone();
    case 'damage':
      damageToPage = order.toPage && new LineDamage(order.toPage);
      damageToBoard = order.toBoard && new LineDamage(order.toBoard);
      return null;
  }
}

function untilDone(): Promise<TrueFiring> {
  return new Promise((resolve) => {
    waiting = resolve;
  });
}

process.on('message', ({ id, order }: NumberedOrder) => {
  if (order.order === 'read program') {
    const bytes = new Uint8Array(core.program.slice().buffer);
    report({ report: 'program', id, bytes, bootLoaderWrites });
    return;
  }
  obey(order).then(
    (firing) => report({ report: 'done', id, firing }),
    (error: Error) => report({ report: 'refused', id, reason: error.message }),
  );
});
process.on('disconnect', () => process.exit()); // the test has gone; the line hangs up by itself
goOn();
report({ report: 'started' });
