/**
 * Runs of the self-timer, from release to first light. The runs follow each other until the user is done, so
 * that nobody has to put the camera down between them. Their firings are not filed.
 */
import type { Firing } from '../../measure/figures.ts';
import { measureFiring } from '../../measure/measure-firing.ts';
import { view } from '../view.ts';
import { abandonCheck, begin, type CheckedBoard } from './checks.ts';
import { changeJob } from './jobs.ts';
import { say } from './notices.ts';

/** The release of the present run: by the board's ticks with a switch, by the page's clock with a key. */
type Release =
  | { readonly by: 'release switch'; readonly tick: number; readonly since: number }
  | { readonly by: 'key'; readonly since: number };

let pressKey: (() => void) | null = null;

/** The user presses a key with the release: the present run begins now. False if none is waited for. */
export function releaseByKey(): boolean {
  if (pressKey === null) return false;
  pressKey();
  return true;
}

/** Waits for the release switch or `releaseByKey`, run after run. */
export function startSelfTimer({ hello, over }: Pick<CheckedBoard, 'hello' | 'over'>): void {
  let release: Release | null = null;
  /** Where the stream and the page's clock stood when the light was first noticed. */
  let light: { readonly tick: number; readonly at: number } | null = null;
  let latestTick = 0;
  let kept = 0;
  const show = () =>
    view.setState({
      checking: {
        kind: 'self-timer',
        step: release === null ? 'wait for release' : light === null ? 'running' : 'light came',
        startedBy: release?.by ?? null,
        since: release?.since ?? null,
      },
    });
  /** The present run begins; null: the next one is waited for. Light seen so far is none of it. */
  const released = (now: Release | null) => {
    release = now;
    light = null;
    show();
  };
  const keepRun = (seconds: number, startedBy: Release['by']) => {
    kept++;
    const run = { id: crypto.randomUUID(), at: new Date().toISOString(), seconds, startedBy, setAside: null };
    changeJob((job) => ({ ...job, selfTimer: [...job.selfTimer, run] }), 'run of the self-timer');
  };
  /** From release to first light; null if the light was there before. */
  const secondsTo = (firing: Firing, from: Release): number | null => {
    let run: number;
    if (from.by === 'key') {
      // A board that times edges tells of the light only when it is gone again.
      if (light === null && !firing.timed) return null;
      run = ((light?.at ?? performance.now() - openMilliseconds(firing)) - from.since) / 1000;
    } else {
      const ppm = view.getState().clock?.ppm ?? 0;
      const tick = firstLightTick(firing) ?? light?.tick ?? latestTick;
      run = (tick - from.tick) / hello.tickHz / (1 + ppm * 1e-6);
    }
    return run > 0 ? run : null;
  };
  const firing = (firing: Firing) => {
    const whole = firing.spoilt === null;
    const run = release !== null && whole ? secondsTo(firing, release) : null;
    if (release !== null && run !== null) keepRun(run, release.by);
    else if (release !== null && !whole)
      say('This run was not kept: data were lost as the light came.', 'trouble');
    else say('Light came, but no release was seen before it: nothing was timed.', 'trouble');
    released(null);
  };
  begin({
    event: (event) => {
      if (event.kind === 'run') latestTick = event.firstTick + event.values.length * event.ticksPerSample;
      if (event.kind === 'gap' && event.cause === 'restarted')
        abandonCheck('The run was ended: the board was restarted.');
      if (event.kind === 'release' && event.pressed && release === null) {
        released({ by: 'release switch', tick: event.tick, since: performance.now() });
      }
    },
    light: () => {
      light = { tick: latestTick, at: performance.now() };
      if (release !== null) show();
    },
    firing,
    keepsAsItGoes: () => kept > 0 && release === null,
    ended: () => {
      pressKey = null;
      over();
    },
  });
  pressKey = () => {
    if (release === null) released({ by: 'key', since: performance.now() });
  };
  show();
}

/** Ticks at first light; null where the light is too poor to say. */
function firstLightTick(firing: Firing): number | null {
  if (firing.timed) return firing.timed.open;
  // Against the board's own ticks, without a correction of its clock.
  const { instants } = measureFiring(firing, { reference: null, clock: null });
  return instants && firing.firstTick + instants.firstLight * firing.tickHz;
}

const openMilliseconds = ({ timed, tickHz }: Firing): number =>
  timed ? (1000 * (timed.close - timed.open)) / tickHz : 0;
