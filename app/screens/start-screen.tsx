import { useRef } from 'preact/hooks';
import { mayLackFirmware } from '../link/session-state.ts';
import { wayIn } from '../link/way-in.ts';
import { backUpReminder } from './actions/backup-reminder.ts';
import { connectBoard, connectPractice, disconnect } from './actions/connection.ts';
import { openJob, setMark } from './actions/jobs.ts';
import { createJob } from './actions/jobs-list.ts';
import { openRecording } from './actions/recordings.ts';
import { FlashFirmware } from './flash-firmware.tsx';
import { FirstStepsCard } from './help-first-steps.tsx';
import { showSettingsPart } from './settings-part.ts';
import { Abilities, BoardAdvice } from './start-abilities.tsx';
import { StartJobs } from './start-jobs.tsx';
import { useView, view } from './view.ts';

/** Choose a board, or the practice bench; see what this browser can do; open a job. */
export function StartScreen() {
  const session = useView((v) => v.session);
  const jobs = useView((v) => v.jobs);
  const job = useView((v) => v.job);
  const flashing = useView((v) => v.flashing.phase);
  const busy = session.phase === 'opening' || session.phase === 'greeting' || flashing === 'working';
  const connected = session.phase === 'live' || busy;
  const mayFlash = flashing !== 'idle' || mayLackFirmware(session);
  const hasWay = wayIn(window).by !== null;
  const chooser = useRef<HTMLInputElement>(null);

  return (
    <main class="sheet">
      <h1>How long does each speed really open?</h1>
      {'sentence' in session && session.reason !== 'closed' && (
        <p class="trouble" role="alert">
          {session.sentence}
        </p>
      )}
      {mayFlash && <FlashFirmware />}
      <div class="columns">
        <section class="card">
          <h2>With a tester board</h2>
          <p>
            A hobby board (Uno or Nano class) with a photodiode, on a USB cable. It may be bare: the page then
            offers to put the firmware on it. The browser asks which port it is; while it is open no other
            program can use it.
          </p>
          <p class="caution">
            Never connect a flash unit to the contact lead: old ones put hundreds of volts on it, and their
            capacitors stay charged. Keep to your local rules; leave mains work to those licensed for it.
          </p>
          <div class="row">
            <button
              type="button"
              class={mayFlash ? '' : 'main'}
              disabled={!hasWay || connected}
              onClick={() => void connectBoard()}
              data-action="connect"
            >
              Connect a board
            </button>
            {hasWay && !connected && (
              <button type="button" onClick={() => void connectBoard({ choose: true })}>
                Choose another port
              </button>
            )}
            {connected && (
              <button type="button" disabled={flashing === 'working'} onClick={() => void disconnect()}>
                Disconnect
              </button>
            )}
          </div>
          <BoardAdvice />
        </section>
        <section class="card">
          <h2>Without a board</h2>
          <p>
            The practice bench runs the same firmware in an emulated board and fires an invented shutter. It
            goes through the same link as a real one. Its readings are marked as invented everywhere.
          </p>
          <div class="row">
            <button
              type="button"
              class={hasWay ? '' : 'main'}
              disabled={connected || !isSecureContext}
              onClick={() => void startPractice()}
              data-action="practice"
            >
              Open the practice bench
            </button>
            <button
              type="button"
              disabled={flashing === 'working' || !isSecureContext}
              onClick={() => chooser.current?.click()}
            >
              Play a recording
            </button>
            <input
              ref={chooser}
              type="file"
              hidden
              aria-label="Recording"
              onChange={(e) => {
                const file = e.currentTarget.files?.[0];
                if (file) void playRecording(file);
                e.currentTarget.value = '';
              }}
              data-action="recording"
            />
          </div>
        </section>
        <StartJobs />
      </div>
      <BackUpReminder />
      <FirstStepsCard />
      <Abilities />
    </main>
  );

  /** Practice readings are kept in invented jobs only, so a real one is left as it is. */
  async function startPractice() {
    if (!job?.invented) await openInvented();
    await connectPractice();
    // A job that nothing was fired in yet begins where the practice shutter's dial stands.
    const { practice, readings, job: opened } = view.getState();
    if (readings.length === 0 && opened?.series.speeds.some(({ label }) => label === practice?.dial))
      setMark(practice!.dial);
    location.hash = 'bench';
  }

  async function playRecording(file: File) {
    if (!job) await openInvented();
    await openRecording(file);
  }

  async function openInvented() {
    const there = jobs.find((one) => one.invented && one.removed === null);
    if (there) await openJob(there.id);
    if (!view.getState().job?.invented) await createJob(true);
  }
}

/** Said where the day begins, when the last file of everything is older than the workshop wants. */
function BackUpReminder() {
  const backUp = useView((v) => v.preferences.backUp);
  const jobs = useView((v) => v.jobs);
  const { days, due } = backUpReminder(backUp, jobs, Date.now());
  if (!due) return null;
  return (
    <section class="card row reminder" aria-label="Back-up" data-reminder="due">
      <p>
        {days === null
          ? 'These jobs are in this browser alone: they were never saved in a file.'
          : `Everything was last saved in a file ${days} ${days === 1 ? 'day' : 'days'} ago.`}
      </p>
      <button type="button" onClick={() => showSettingsPart('data')} data-action="back-up">
        Save it now
      </button>
    </section>
  );
}
