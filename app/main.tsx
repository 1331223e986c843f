import { render } from 'preact';
import './screens/page.css';
import { watchPorts } from './screens/actions/connection.ts';
import { loadJobs } from './screens/actions/jobs.ts';
import { unwrittenCount } from './screens/actions/readings.ts';
import { loadScreens } from './screens/later-screen.tsx';
import { Page } from './screens/page.tsx';
import { view } from './screens/view.ts';

render(<Page />, document.getElementById('page')!);
watchPorts();

// The start page needs none of the screens behind a job; with a job open they will be wanted soon.
const stopWaiting = view.subscribe(({ job }) => {
  if (job === null) return;
  stopWaiting();
  loadScreens();
});

void loadJobs();

// Firings that could not be written live in this page alone: the browser asks before it goes.
addEventListener('beforeunload', (event) => {
  if (unwrittenCount() > 0) event.preventDefault();
});
