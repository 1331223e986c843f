import { afterEach, describe, expect, it, vi } from 'vitest';
import { resonatorPpm } from '../../app/practice/board-clock.ts';
import type { FromPracticeWorker, ToPracticeWorker } from '../../app/practice/messages.ts';
import { PracticeBench } from '../../app/practice/practice-bench.ts';
import type { PracticeState } from '../../app/practice/practice-state.ts';
import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { TESTER_HEX } from './tester-firmware.ts';

/** The page's end of a worker that isn't there. */
class SilentWorker {
  onmessage: ((event: MessageEvent<FromPracticeWorker>) => void) | null = null;
  onerror: ((event: ErrorEvent) => void) | null = null;
  readonly posted: ToPracticeWorker[] = [];
  terminated = false;
  postMessage(message: ToPracticeWorker) {
    this.posted.push(message);
  }
  terminate() {
    this.terminated = true;
  }
  say(data: FromPracticeWorker) {
    this.onmessage?.({ data } as MessageEvent<FromPracticeWorker>);
  }
}

function bench() {
  const worker = new SilentWorker();
  const heard: unknown[] = [];
  const practice = new PracticeBench({
    image: ':00000001FF',
    seed: 4,
    onBytes: (bytes) => heard.push(['bytes', ...bytes]),
    onState: (state) => heard.push(['state', state.dial]),
    onFailure: (reason) => heard.push(['failure', reason]),
    createWorker: () => worker,
  });
  return { worker, heard, practice };
}

describe('practice bench on the page', () => {
  it('turns its controls into messages', () => {
    const { worker, practice } = bench();
    const bytes = Uint8Array.of(1, 2);
    practice.write(bytes);
    bytes[0] = 9; // the caller may reuse its array
    practice.resetBoard();
    practice.setDial('1/30');
    practice.fire();
    practice.holdOpen(0.5);
    practice.freeBlades();
    practice.turnGovernor(-1);
    practice.setCondition('gummed');
    practice.setLight({ dark: 1, open: 2, noise: 0 });
    practice.setIris(1);
    practice.setSeenShare(0.8);
    practice.setSync('M');
    practice.startSelfTimer();
    practice.setLead('short circuit');
    practice.touchContact(0.5);
    expect(worker.posted).toEqual([
      { type: 'power on', image: ':00000001FF', seed: 4, clockPpm: resonatorPpm(4), baudRate: 500_000 },
      { type: 'bytes', bytes: Uint8Array.of(1, 2) },
      { type: 'reset board' },
      { type: 'dial', mark: '1/30' },
      { type: 'press' },
      { type: 'let go' },
      { type: 'hold open', seconds: 0.5 },
      { type: 'free blades' },
      { type: 'governor', quarterTurns: -1 },
      { type: 'condition', condition: 'gummed' },
      { type: 'light', levels: { dark: 1, open: 2, noise: 0 } },
      { type: 'iris', stopsDown: 1 },
      { type: 'seen share', share: 0.8 },
      { type: 'sync', setting: 'M' },
      { type: 'self-timer' },
      { type: 'lead', state: 'short circuit' },
      { type: 'touch contact', seconds: 0.5 },
    ]);
  });

  it('refuses what there is not, before the worker hears of it', () => {
    const { worker, practice } = bench();
    expect(() => practice.setDial('1/1000')).toThrow(RangeError);
    expect(() => practice.setLight({ dark: 9, open: 2, noise: 0 })).toThrow(RangeError);
    expect(() => practice.setIris(7)).toThrow(RangeError);
    expect(() => practice.setSeenShare(0)).toThrow(RangeError);
    expect(() => practice.touchContact(11)).toThrow(RangeError);
    expect(worker.posted).toHaveLength(1);
  });

  it('hands on what the worker says, until it is closed', () => {
    const { worker, heard, practice } = bench();
    worker.say({ type: 'bytes', bytes: Uint8Array.of(7) });
    worker.say({ type: 'state', state: { dial: '1/8' } as PracticeState });
    worker.say({ type: 'failed', reason: 'No.' });
    worker.onerror?.({ message: '' } as ErrorEvent);
    practice.close();
    worker.say({ type: 'bytes', bytes: Uint8Array.of(8) });
    expect(worker.terminated).toBe(true);
    expect(heard).toEqual([
      ['bytes', 7],
      ['state', '1/8'],
      ['failure', 'No.'],
      ['failure', 'The practice board could not be started.'],
    ]);
  });
});

describe('the worker', () => {
  afterEach(() => {
    vi.unstubAllGlobals();
    vi.useRealTimers();
    vi.resetModules();
  });

  /** Loads the worker's file as if its global scope were a worker's; time passes only by `pass`. */
  async function loaded() {
    vi.useFakeTimers({ toFake: ['setTimeout', 'performance'] });
    const said: FromPracticeWorker[] = [];
    let hear: (event: { data: ToPracticeWorker }) => void = () => {};
    vi.stubGlobal('self', {
      addEventListener: (_type: string, listener: typeof hear) => {
        hear = listener;
      },
      postMessage: (message: FromPracticeWorker, { transfer }: { transfer: Transferable[] }) => {
        if (message.type === 'bytes') expect(transfer).toEqual([message.bytes.buffer]);
        said.push(message);
      },
    });
    await import('../../app/practice/worker.ts');
    return {
      said,
      tell: (data: ToPracticeWorker) => hear({ data }),
      pass: (milliseconds: number) => vi.advanceTimersByTime(milliseconds),
      states: () => said.flatMap((message) => (message.type === 'state' ? [message.state] : [])),
      bytes: () => said.flatMap((message) => (message.type === 'bytes' ? [...message.bytes] : [])),
    };
  }

  it('runs the board by the clock and sends its bytes', async () => {
    const { tell, pass, states, bytes } = await loaded();
    tell({ type: 'power on', image: TESTER_HEX, seed: 2, clockPpm: 0, baudRate: 500_000 });
    expect(states()).toHaveLength(1);
    expect(bytes()).toEqual([]);
    pass(900);
    expect(String.fromCharCode(...bytes())).toContain('ATmega328P');
  });

  it('is heard only at the speed of its line', async () => {
    const { tell, pass, bytes } = await loaded();
    tell({ type: 'power on', image: TESTER_HEX, seed: 2, clockPpm: 0, baudRate: 1_000_000 });
    pass(400);
    expect(bytes().length).toBeGreaterThan(0);
    expect(String.fromCharCode(...bytes())).not.toContain('ATmega328P');
    const hello = (tag: number) =>
      tell({ type: 'bytes', bytes: encodeCommand({ type: 'hello', tag }).slice() });
    hello(1);
    pass(250);
    hello(2);
    pass(250);
    expect(String.fromCharCode(...bytes())).toContain('ATmega328P');
  });

  it('obeys, and says what the shutter does', async () => {
    const { tell, pass, states } = await loaded();
    tell({ type: 'dial', mark: '1/8' }); // before power on: nobody hears
    tell({ type: 'power on', image: TESTER_HEX, seed: 2, clockPpm: -700, baudRate: 500_000 });
    tell({ type: 'dial', mark: '1/15' });
    tell({ type: 'condition', condition: 'contact dead' });
    tell({ type: 'governor', quarterTurns: 2 });
    tell({ type: 'light', levels: { dark: 5, open: 90, noise: 0 } });
    tell({ type: 'iris', stopsDown: 2 });
    tell({ type: 'seen share', share: 0.5 });
    tell({ type: 'reset board' });
    tell({ type: 'bytes', bytes: Uint8Array.of(0) });
    tell({ type: 'press' });
    tell({ type: 'let go' });
    expect(states().at(-1)).toMatchObject({
      dial: '1/15',
      condition: 'contact dead',
      governorQuarterTurns: 2,
      light: { open: 90 },
      iris: 2,
      seenShare: 0.5,
      clockPpm: -700,
      blades: 'exposing',
    });
    pass(300);
    expect(states().at(-1)!.blades).toBe('at rest');
    tell({ type: 'hold open', seconds: 1 });
    tell({ type: 'free blades' });
    expect(states().at(-1)!.blades).toBe('held open');
    tell({ type: 'let go' });
    pass(100);
    tell({ type: 'lead', state: 'not plugged in' });
    tell({ type: 'touch contact', seconds: 1 });
    tell({ type: 'self-timer' });
    tell({ type: 'sync', setting: 'M' });
    expect(states().at(-1)).toMatchObject({ lead: 'not plugged in', selfTimerRuns: true, sync: 'M' });
  });

  it('says when the board cannot run, and is quiet from then on', async () => {
    const { said, tell, pass } = await loaded();
    tell({ type: 'power on', image: ':00000001FE', seed: 2, clockPpm: 0, baudRate: 500_000 });
    expect(said).toEqual([
      { type: 'failed', reason: expect.stringMatching(/line 1: the checksum is wrong/) },
    ]);
    // LDI r24, 1; OUT TCCR0B, r24: a timer the board hasn't got
    tell({
      type: 'power on',
      image: ':0400000081E085BD59\n:00000001FF',
      seed: 2,
      clockPpm: 0,
      baudRate: 500_000,
    });
    pass(10);
    expect(said.at(-1)).toEqual({ type: 'failed', reason: expect.stringMatching(/no timer 0/) });
    const count = said.length;
    tell({ type: 'press' });
    pass(100);
    expect(said).toHaveLength(count);
  });
});
