/** The practice board in a worker, so that emulating it never holds up the page. A shell around the core. */
import { BAUD_RATES } from '../../firmware-protocol/line-speeds.ts';
import type { FromPracticeWorker, ToPracticeWorker } from './messages.ts';
import { PracticeCore } from './practice-core.ts';

/** Pause between slices when the board has caught up with the clock. In ms: bytes arrive this often. */
const PAUSE = 4;

type PowerOn = Extract<ToPracticeWorker, { type: 'power on' }>;

let core: PracticeCore | null = null;
/** At which the page speaks and listens. */
let baudRate: number = BAUD_RATES.normal;

const post = (message: FromPracticeWorker, transfer: Transferable[] = []) =>
  self.postMessage(message, { transfer });

function fail(error: unknown): void {
  core = null;
  post({ type: 'failed', reason: error instanceof Error ? error.message : String(error) });
}

function slice(): void {
  if (core === null) return;
  try {
    const behind = core.advance(performance.now());
    const bytes = core.takeBytes(baudRate);
    if (bytes.length > 0) post({ type: 'bytes', bytes }, [bytes.buffer]);
    setTimeout(slice, behind ? 0 : PAUSE);
  } catch (error) {
    fail(error);
  }
}

function powerOn({ image, seed, clockPpm, ...line }: PowerOn): void {
  baudRate = line.baudRate;
  core = new PracticeCore({ image, seed, clockPpm, onState: (state) => post({ type: 'state', state }) });
  post({ type: 'state', state: core.state });
  slice();
}

function obey(core: PracticeCore, message: Exclude<ToPracticeWorker, PowerOn>): void {
  switch (message.type) {
    case 'bytes':
      core.write(message.bytes, baudRate);
      break;
    case 'reset board':
      core.resetBoard();
      break;
    case 'dial':
      core.setDial(message.mark);
      break;
    case 'press':
      core.press();
      break;
    case 'let go':
      core.letGo();
      break;
    case 'hold open':
      core.holdOpen(message.seconds);
      break;
    case 'free blades':
      core.freeBlades();
      break;
    case 'governor':
      core.turnGovernor(message.quarterTurns);
      break;
    case 'condition':
      core.setCondition(message.condition);
      break;
    case 'light':
      core.setLight(message.levels);
      break;
    case 'iris':
      core.setIris(message.stopsDown);
      break;
    case 'seen share':
      core.setSeenShare(message.share);
      break;
    case 'sync':
      core.setSync(message.setting);
      break;
    case 'self-timer':
      core.startSelfTimer();
      break;
    case 'lead':
      core.setLead(message.state);
      break;
    case 'touch contact':
      core.touchContact(message.seconds);
      break;
  }
}

self.addEventListener('message', ({ data }: MessageEvent<ToPracticeWorker>) => {
  try {
    if (data.type === 'power on') powerOn(data);
    else if (core !== null) obey(core, data);
  } catch (error) {
    fail(error);
  }
});
