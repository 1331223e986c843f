import { render } from 'preact';
import './screens/page.css';
import { Page } from './screens/page.tsx';
import { watchPorts } from './screens/work/connection.ts';
import { loadJobs } from './screens/work/jobs.ts';
import { unwrittenCount } from './screens/work/readings.ts';

render(<Page />, document.getElementById('page')!);
void loadJobs();
watchPorts();

// Firings that could not be written live in this page alone: the browser asks before it goes.
addEventListener('beforeunload', (event) => {
  if (unwrittenCount() > 0) event.preventDefault();
});
