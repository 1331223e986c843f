import { useEffect, useRef, useState } from 'preact/hooks';
import type { StorageState } from '../record/storage-state.ts';
import { backUpReminder } from './actions/backup-reminder.ts';
import { connectBoard, connectPractice, disconnect, openRecording } from './actions/connection.ts';
import { openJob, setMark } from './actions/jobs.ts';
import { createJob } from './actions/jobs-list.ts';
import { storage } from './actions/record.ts';
import { FirstStepsCard } from './help-first-steps.tsx';
import { showSettingsPart } from './settings-part.ts';
import { StartJobs } from './start-jobs.tsx';
import { useView, view } from './view.ts';

/** Choose a board, or the practice bench; see what this browser can do; open a job. */
export function StartScreen() {
  const session = useView((v) => v.session);
  const source = useView((v) => v.source);
  const jobs = useView((v) => v.jobs);
  const job = useView((v) => v.job);
  const busy = session.phase === 'opening' || session.phase === 'greeting';
  const connected = session.phase === 'live' || busy;
  const hasSerial = 'serial' in navigator;
  const chooser = useRef<HTMLInputElement>(null);

  return (
    <main class="sheet">
      <h1>How long does each speed really open?</h1>
      {'sentence' in session && session.reason !== 'closed' && (
        <p class="trouble" role="alert">
          {session.sentence}
        </p>
      )}
      <div class="columns">
        <section class="card">
          <h2>With a tester board</h2>
          <p>
            A hobby board with the Leafclock firmware and a photodiode, on a USB cable. The browser asks which
            port it is; while it is open no other program can use it.
          </p>
          <p class="caution">
            Never connect a flash unit to the contact lead: old ones put hundreds of volts on it, and their
            capacitors stay charged. Keep to your local rules; leave mains work to those licensed for it.
          </p>
          <div class="row">
            <button
              type="button"
              class="main"
              disabled={!hasSerial || connected}
              onClick={() => void connectBoard()}
              data-action="connect"
            >
              Connect a board
            </button>
            {hasSerial && !connected && (
              <button type="button" onClick={() => void connectBoard({ choose: true })}>
                Choose another port
              </button>
            )}
            {connected && (
              <button type="button" onClick={() => void disconnect()}>
                Disconnect
              </button>
            )}
          </div>
          {!hasSerial && (
            <p class="trouble">
              This browser has no Web Serial. Use a desktop Chrome, Edge or another browser that has it, and
              open the page on localhost or over https.
            </p>
          )}
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
              class={hasSerial ? '' : 'main'}
              disabled={connected}
              onClick={() => void startPractice()}
              data-action="practice"
            >
              Open the practice bench
            </button>
            <button type="button" onClick={() => chooser.current?.click()}>
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
      <Abilities hasSerial={hasSerial} source={source} />
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

function Abilities({ hasSerial, source }: { hasSerial: boolean; source: string | null }) {
  const [kept, setKept] = useState<StorageState | null>(null);
  useEffect(() => void storage().then(setKept), []);
  const lines: [string, boolean | null, string][] = [
    [
      'Web Serial',
      hasSerial,
      hasSerial ? 'a board can be connected' : 'no board can be connected in this browser',
    ],
    [
      'Database',
      'indexedDB' in window,
      'indexedDB' in window ? 'readings can be kept' : 'nothing can be kept',
    ],
    [
      'Lasting storage',
      kept?.persistent ?? null,
      kept?.persistent
        ? 'the browser has promised to keep the readings'
        : 'the browser may clear everything when space is short: save it in a file, in Settings',
    ],
    [
      'Fine clock',
      crossOriginIsolated,
      crossOriginIsolated ? 'the page’s clock is not coarsened' : 'the page’s clock is coarsened',
    ],
  ];
  return (
    <section class="card abilities" data-source={source ?? ''}>
      <h2>What this browser can do</h2>
      <table>
        <tbody>
          {lines.map(([name, good, words]) => (
            <tr key={name}>
              <td>{name}</td>
              <td class={`left ${good ? 'within' : good === null ? 'quiet' : 'beyond'}`}>
                {good ? 'yes' : good === null ? 'not promised' : 'no'}
              </td>
              <td class="left quiet words">{words}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
