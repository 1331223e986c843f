import './update-line.css';
import { loadNewVersion, portInUse } from './actions/page-update.ts';
import { useView } from './view.ts';

/** A newer Leafclock is there. It waits without a word while a port is open, unless nothing can be recorded without it. */
export function UpdateLine() {
  const update = useView((v) => v.update);
  const newerDatabase = useView((v) => v.newerDatabase);
  const inUse = useView(portInUse);
  if (!newerDatabase && (update === 'none' || inUse)) return null;
  return (
    <div
      class="update-line"
      role={newerDatabase ? 'alert' : 'status'}
      data-update={newerDatabase ? 'newer database' : update}
    >
      <span>
        {newerDatabase
          ? 'A newer Leafclock has opened the jobs on this computer, and this older page can’t read them. ' +
            `Nothing is lost, but nothing can be recorded here${inUse ? ': disconnect the board, then load the new version.' : '.'}`
          : update === 'elsewhere'
            ? 'Leafclock was renewed in another tab. Reload this page when you are done here: parts of it may be missing.'
            : 'A new version of Leafclock is ready.'}
      </span>
      {!inUse && (
        <button type="button" onClick={() => void loadNewVersion()} data-action="load-new-version">
          Load the new version
        </button>
      )}
    </div>
  );
}
