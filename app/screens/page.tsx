import { useEffect } from 'preact/hooks';
import { STAGES } from '../record/job.ts';
import { setStage } from './actions/jobs.ts';
import { dismiss } from './actions/notices.ts';
import { saveRecording } from './actions/recordings.ts';
import { Glyph, type Sign } from './glyphs.tsx';
import { HelpPanel, toggleHelp } from './help-panel.tsx';
import { LaterScreen } from './later-screen.tsx';
import { RateInUse } from './settings-rate.tsx';
import { StartScreen } from './start-screen.tsx';
import { UpdateLine } from './update-line.tsx';
import { type Screen, useView, type View, view } from './view.ts';

const screens: readonly { readonly id: Screen; readonly name: string }[] = [
  { id: 'start', name: 'Start' },
  { id: 'jobs', name: 'Jobs' },
  { id: 'job', name: 'Job' },
  { id: 'checks', name: 'Instrument' },
  { id: 'bench', name: 'Bench' },
  { id: 'results', name: 'Results' },
  { id: 'camera', name: 'Camera' },
  { id: 'certificate', name: 'Papers' },
  { id: 'settings', name: 'Settings' },
];

/** The frame around every screen: which job, is the board well, where to go. */
export function Page() {
  const screen = useView((v) => v.screen);
  const job = useView((v) => v.job);
  const stage = useView((v) => v.stage);
  const source = useView((v) => v.source);
  useEffect(() => {
    const follow = () => {
      const id = location.hash.slice(1);
      view.setState({ screen: screens.find((s) => s.id === id)?.id ?? 'start' });
    };
    const keys = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
      if ((event.target as HTMLElement).closest('input, textarea, select')) return;
      const to = screens[Number(event.key) - 1];
      if (to) location.hash = to.id;
    };
    follow();
    addEventListener('hashchange', follow);
    addEventListener('keydown', keys);
    return () => {
      removeEventListener('hashchange', follow);
      removeEventListener('keydown', keys);
    };
  }, []);

  return (
    <>
      <header class="top">
        <div class="line">
          <span class="name">Leafclock</span>
          <span class="which">
            {job ? (
              <>
                job <strong>{job.number}</strong> {job.invented && <span class="invented">invented</span>}{' '}
                <span class="camera" title={job.camera.description}>
                  {job.camera.description || 'camera not yet named'}
                </span>
              </>
            ) : (
              <span class="quiet">no job open</span>
            )}
          </span>
          <BoardState />
          {source && (
            <button
              type="button"
              class="small"
              onClick={saveRecording}
              title="Saves the bytes of the last minutes to a file"
            >
              Save recording
            </button>
          )}
          <button type="button" class="small" onClick={toggleHelp} data-action="help">
            Help <kbd>?</kbd>
          </button>
        </div>
        <div class="line">
          <nav aria-label="Screens">
            {screens.map(({ id, name }, index) => (
              <a
                key={id}
                class="button"
                href={`#${id}`}
                aria-current={screen === id ? 'page' : undefined}
                aria-keyshortcuts={String(index + 1)}
                data-screen={id}
              >
                {name}
              </a>
            ))}
          </nav>
          {job && (
            <fieldset class="stages" aria-label="Stage">
              {STAGES.map((one) => (
                <button
                  type="button"
                  class="small"
                  key={one}
                  aria-pressed={stage === one}
                  onClick={() => setStage(one)}
                >
                  {one}
                </button>
              ))}
            </fieldset>
          )}
        </div>
      </header>
      <UpdateLine />
      {screen === 'start' && <StartScreen />}
      {screen !== 'start' && <LaterScreen screen={screen} />}
      <HelpPanel screen={screen} />
      <Notices />
    </>
  );
}

function BoardState() {
  const session = useView((v) => v.session);
  const counts = useView((v) => v.counts);
  const source = useView((v) => v.source);
  const rate = useView((v) => v.rate);
  const trouble = useView((v) => v.recordTrouble);
  const awake = useView((v) => v.awake);
  const flashing = useView((v) => v.flashing.phase === 'working');
  const [sign, words] = flashing ? writing : boardWords(session, source);
  const hurt = counts.damaged + counts.faults;
  return (
    <span
      class={`board ${sign === 'unwell' ? 'beyond' : sign === 'well' ? 'within' : 'quiet'}`}
      role="status"
      data-board={session.phase}
      data-awake={awake}
      title={'sentence' in session ? session.sentence : awake ? 'The screen is kept awake.' : ''}
    >
      <Glyph sign={sign} /> {words}
      {session.phase === 'live' && <RateInUse rate={rate} />}
      {hurt > 0 && <span data-damaged={hurt}> · {hurt} damaged</span>}
      {counts.lost > 0 && <span> · {counts.lost} gaps</span>}
      {trouble && <span class="beyond"> · nothing can be recorded</span>}
    </span>
  );
}

const writing: [Sign, string] = ['waiting', 'putting the firmware on …'];

function boardWords(session: View['session'], source: View['source']): [Sign, string] {
  const what = source === 'practice' ? 'practice board' : source === 'recording' ? 'recording' : 'board';
  switch (session.phase) {
    case 'idle':
      return ['waiting', 'no board'];
    case 'opening':
      return ['waiting', `opening the ${what} …`];
    case 'greeting':
      return ['waiting', `waiting for the ${what} …`];
    case 'live':
      return ['well', `${what} well`];
    case 'lost':
      return session.reason === 'closed'
        ? ['waiting', 'no board']
        : ['unwell', `${what}: ${lostWords[session.reason]}`];
    case 'refused':
      return ['unwell', `${what}: ${session.reason}`];
  }
}

const lostWords = {
  disconnected: 'unplugged',
  silent: 'silent',
  'end of recording': 'played to its end',
} as const;

function Notices() {
  const notices = useView((v) => v.notices);
  return (
    <div class="notices">
      {notices.map(({ id, tone, text }) => (
        <div class="notice" key={id} role={tone === 'trouble' ? 'alert' : 'status'}>
          <span>{text}</span>
          <button type="button" onClick={() => dismiss(id)} aria-label="Dismiss">
            ✕
          </button>
        </div>
      ))}
    </div>
  );
}
