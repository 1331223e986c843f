import { render } from 'preact';
import './screens/page.css';
import './screens/tables.css';
import './screens/practice.css';
import { copyFinishedJobs } from './screens/actions/backup-folder.ts';
import { watchPorts } from './screens/actions/connection.ts';
import { loadJobs } from './screens/actions/jobs-list.ts';
import { noteKnownBoards } from './screens/actions/known-boards.ts';
import { loadPreferences } from './screens/actions/preferences.ts';
import { followProgramme } from './screens/actions/programme.ts';
import { unwrittenCount } from './screens/actions/readings.ts';
import { wakeTones } from './screens/actions/tones.ts';
import { keepAwake } from './screens/actions/wake-lock.ts';
import { loadScreens } from './screens/later-screen.tsx';
import { Page } from './screens/page.tsx';
import { view } from './screens/view.ts';

render(<Page />, document.getElementById('page')!);
watchPorts();
followProgramme();
keepAwake();
noteKnownBoards();
copyFinishedJobs();

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

// Firings that could not be written live in this page alone: the browser asks before it goes.
addEventListener('beforeunload', (event) => {
  if (unwrittenCount() > 0) event.preventDefault();
});
