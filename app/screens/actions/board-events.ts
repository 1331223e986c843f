/** What the stream of a board becomes: readings, or the measurements of a check. */
import type { StreamEvent } from '../../link/stream.ts';
import type { FinderEvent } from '../../measure/finder-events.ts';
import { view } from '../view.ts';
import { isChecking, takeCheckEvent, takeCheckFiring, takeCheckLight } from './checks.ts';
import type { Connection } from './connection-in-use.ts';
import { lightCame } from './first-light.ts';
import { fileFiring, showProvisional } from './readings.ts';

export function takeEvent(now: Connection, event: StreamEvent): void {
  now.contact?.take(event);
  takeCheckEvent(event);
  for (const found of now.finder?.push(event) ?? []) act(now, found);
}

function act(now: Connection, found: FinderEvent): void {
  const checking = isChecking();
  switch (found.kind) {
    case 'state':
      if (found.state === 'open') {
        if (checking) takeCheckLight();
        else lightCame();
      }
      if (found.state !== 'closing') {
        const phase = found.state === 'not dark yet' ? 'not armed' : found.state;
        view.setState((v) => ({ eye: { ...v.eye, phase } }));
      }
      break;
    case 'level':
      view.setState((v) => ({ eye: { ...v.eye, code: Math.round(found.light) } }));
      break;
    case 'provisional':
      if (!checking) showProvisional(found.firing);
      break;
    case 'spoilt':
    case 'never closed':
    case 'firing':
      if (checking) takeCheckFiring(found.firing);
      else void fileFiring(found.firing, now.identity);
      break;
  }
}
