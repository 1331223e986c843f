import { render } from 'preact';
import './screens/page.css';
import './screens/tables.css';
import './screens/practice.css';
import { copyFinishedJobs } from './screens/actions/backup-folder.ts';
import { isFlashing } from './screens/actions/flash-board.ts';
import { loadJobs } from './screens/actions/jobs-list.ts';
import { noteKnownBoards } from './screens/actions/known-boards.ts';
import { allowOwnScripts } from './screens/actions/own-scripts.ts';
import { keepPage } from './screens/actions/page-update.ts';
import { loadPreferences } from './screens/actions/preferences.ts';
import { followProgramme } from './screens/actions/programme.ts';
import { unwrittenCount } from './screens/actions/readings.ts';
import { watchPorts } from './screens/actions/staying-connected.ts';
import { wakeTones } from './screens/actions/tones.ts';
import { keepAwake } from './screens/actions/wake-lock.ts';
import { loadScreens } from './screens/later-screen.tsx';
import { Page } from './screens/page.tsx';
import { view } from './screens/view.ts';

const place = document.getElementById('page')!;
// A page around this one could lead clicks astray. Headers forbid it as well, but not every server sends them.
if (window.top === window) start();
else
  render(
    <p class="trouble">Leafclock does not run inside another page. Open it in a tab of its own.</p>,
    place,
  );

function start(): void {
  allowOwnScripts();
  render(<Page />, place);
  watchPorts();
  followProgramme();
  keepAwake();
  noteKnownBoards();
  copyFinishedJobs();
  void keepPage();

  // Sound needs a click or a key first; connecting a board is one.
  addEventListener('pointerdown', wakeTones);
  addEventListener('keydown', wakeTones);

  // The start page needs none of the screens behind a job; with a job open they will be wanted soon.
  const stopWaiting = view.subscribe(({ job }) => {
    if (job === null) return;
    stopWaiting();
    loadScreens();
  });

  void loadPreferences();
  void loadJobs();

  // Firings that could not be written live in this page alone, and firmware is written by it: the browser asks
  // before it goes.
  addEventListener('beforeunload', (event) => {
    if (unwrittenCount() > 0 || isFlashing()) event.preventDefault();
  });
}
