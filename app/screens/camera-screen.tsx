import { useEffect, useRef, useState } from 'preact/hooks';
import type { Job, StageId } from '../record/job.ts';
import { startSelfTimerByKey } from './actions/camera-checks.ts';
import './camera.css';
import { FlashSection } from './camera-flash.tsx';
import { MechanicsSection } from './camera-mechanics.tsx';
import { countsWords } from './camera-mechanics-list.ts';
import { MeterSection } from './camera-meter.tsx';
import { SelfTimerSection } from './camera-self-timer.tsx';
import { PracticeContactPanel } from './practice-contact-panel.tsx';
import { UndoButton } from './undo-button.tsx';
import { useView, view } from './view.ts';

const SECTIONS = ['Flash contact', 'Self-timer', 'Exposure meter', 'Mechanics'] as const;
type Section = (typeof SECTIONS)[number];

/** Where the user was last; the screens between come and go. */
let last: Section = 'Flash contact';

/** What is checked of a camera besides its speeds: one thing at a time, each in sight as a whole. */
export function CameraScreen() {
  const job = useView((v) => v.job);
  const stage = useView((v) => v.stage);
  const live = useView((v) => v.session.phase === 'live' && v.source !== 'recording');
  const practice = useView((v) => v.practice);
  const timing = useView((v) => v.checking?.kind === 'self-timer');
  const [section, setSection] = useState<Section>(timing ? 'Self-timer' : last);
  const show = (to: Section) => {
    last = to;
    setSection(to);
  };
  // A run may be begun by a key while another section is on show.
  useEffect(() => {
    if (timing) show('Self-timer');
  }, [timing]);
  useSelfTimerKey();
  if (!job)
    return (
      <main class="sheet">
        <h1>No job is open</h1>
        <p>The checks of a camera are kept with its job. Open a job, or make one, first.</p>
        <a class="button" href="#jobs">
          To the jobs
        </a>
      </main>
    );
  return (
    <main class="sheet camera">
      <div class="row heading">
        <h1>Camera</h1>
        <Tabs job={job} stage={stage} section={section} show={show} />
        <UndoButton />
      </div>
      <div
        role="tabpanel"
        id="camera-section"
        aria-labelledby={idOf(section)}
        data-section-shown={section}
        key={job.id}
      >
        {section === 'Flash contact' && <FlashSection job={job} stage={stage} />}
        {section === 'Self-timer' && <SelfTimerSection job={job} live={live} />}
        {section === 'Exposure meter' && <MeterSection job={job} />}
        {section === 'Mechanics' && <MechanicsSection job={job} />}
      </div>
      {practice && (section === 'Flash contact' || section === 'Self-timer') && (
        <PracticeContactPanel practice={practice} />
      )}
    </main>
  );
}

const idOf = (section: Section): string => `camera-tab-${SECTIONS.indexOf(section)}`;

interface TabsProps {
  readonly job: Job;
  readonly stage: StageId;
  readonly section: Section;
  readonly show: (section: Section) => void;
}

function Tabs({ job, stage, section, show }: TabsProps) {
  const list = useRef<HTMLDivElement>(null);
  function press(event: KeyboardEvent) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0;
    if (step === 0) return;
    event.preventDefault();
    const to = (SECTIONS.indexOf(section) + step + SECTIONS.length) % SECTIONS.length;
    show(SECTIONS[to]!);
    list.current?.querySelectorAll('button')[to]?.focus();
  }
  return (
    <div class="tabs" role="tablist" aria-label="Checks of the camera" ref={list} onKeyDown={press}>
      {SECTIONS.map((one) => (
        <button
          type="button"
          role="tab"
          key={one}
          id={idOf(one)}
          aria-controls="camera-section"
          aria-selected={one === section}
          tabIndex={one === section ? 0 : -1}
          onClick={() => show(one)}
          data-tab={one}
        >
          {one}
          <span class="so-far">{soFar(one, job, stage)}</span>
        </button>
      ))}
    </div>
  );
}

/** How far a section has come, in a few words. */
function soFar(section: Section, { stages, selfTimer, meter, mechanics }: Job, stage: StageId): string {
  switch (section) {
    case 'Flash contact': {
      const { sync } = stages[stage];
      return sync === 'not stated' ? 'lever not stated' : `lever at ${sync}`;
    }
    case 'Self-timer':
      return counted(selfTimer.length, 'run');
    case 'Exposure meter':
      return meter === null ? 'not begun' : counted(meter.points.length, 'reading');
    case 'Mechanics': {
      const faults = mechanics.filter(({ state }) => state === 'fault').length;
      return faults > 0 ? counted(faults, 'fault') : countsWords(mechanics).split(':')[0]!;
    }
  }
}

const counted = (n: number, what: string): string => `${n === 0 ? 'no' : n} ${what}${n === 1 ? '' : 's'}`;

/** The key or pedal that the user bound to the self-timer works here, whichever section is on show. */
function useSelfTimerKey(): void {
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
      if ((event.target as HTMLElement).closest('input, textarea, select')) return;
      if (event.code !== view.getState().preferences.keys['start the self-timer']) return;
      event.preventDefault();
      startSelfTimerByKey();
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, []);
}
