import { useEffect, useState } from 'preact/hooks';
import {
  askForFolder,
  chooseFolder,
  type FolderState,
  folderState,
  forgetFolder,
} from './actions/backup-folder.ts';

/** A folder, picked once, that gets a copy of each job when it is finished. */
export function CopyFolder() {
  const [state, setState] = useState<FolderState | null>(null);
  const [problem, setProblem] = useState('');
  const look = () => act(async () => {});
  const act = async (step: () => Promise<void>) => {
    try {
      await step();
      setProblem('');
      setState(await folderState());
    } catch (error) {
      setProblem((error as Error).message);
    }
  };
  useEffect(() => void look(), []);
  return (
    <section class="card" data-card="folder" data-folder={state?.kind ?? 'looking'}>
      <h2>Copies in a folder</h2>
      <p>
        A folder that you pick once gets a copy of each job when its state becomes “finished”. A folder on
        another disk, or one that is synchronised, outlives this computer.
      </p>
      {state && <FolderWords state={state} />}
      {state && state.kind !== 'not offered' && (
        <div class="row">
          {(state.kind === 'asks' || state.kind === 'refused') && (
            <button
              type="button"
              class="main"
              onClick={() => void act(askForFolder)}
              data-action="ask-folder"
            >
              Let the page write there
            </button>
          )}
          <button type="button" onClick={() => void act(chooseFolder)} data-action="choose-folder">
            {state.kind === 'none' ? 'Pick a folder' : 'Pick another folder'}
          </button>
          {state.kind !== 'none' && (
            <button type="button" onClick={() => void act(forgetFolder)} data-action="forget-folder">
              No more copies
            </button>
          )}
        </div>
      )}
      {problem && (
        <p class="trouble" role="alert">
          {problem}
        </p>
      )}
    </section>
  );
}

function FolderWords({ state }: { readonly state: FolderState }) {
  switch (state.kind) {
    case 'not offered':
      return <p class="quiet">This browser lets no page write to a folder. Save files instead.</p>;
    case 'none':
      return <p class="quiet">No folder is picked.</p>;
    case 'writes':
      return (
        <p data-waiting={state.waiting}>
          Copies go to the folder <strong>{state.name}</strong>.{waitingWords(state.waiting)}
        </p>
      );
    default:
      return (
        <p class="caution" data-waiting={state.waiting}>
          {state.kind === 'asks'
            ? `The page may write to the folder “${state.name}” only until it is reloaded; then the browser wants to be asked again.`
            : `The browser has been told not to let the page write to the folder “${state.name}”.`}
          {waitingWords(state.waiting)}
        </p>
      );
  }
}

const waitingWords = (waiting: number) =>
  waiting === 0 ? '' : ` ${waiting} finished ${waiting === 1 ? 'job waits' : 'jobs wait'} to be copied.`;
