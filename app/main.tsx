import { render } from 'preact';
import './screens/page.css';
import { watchPorts } from './screens/actions/connection.ts';
import { loadJobs } from './screens/actions/jobs.ts';
import { unwrittenCount } from './screens/actions/readings.ts';
import { loadScreens } from './screens/later-screen.tsx';
import { Page } from './screens/page.tsx';

render(<Page />, document.getElementById('page')!);
void loadJobs();
watchPorts();
loadScreens();

// Firings that could not be written live in this page alone: the browser asks before it goes.
addEventListener('beforeunload', (event) => {
  if (unwrittenCount() > 0) event.preventDefault();
});
