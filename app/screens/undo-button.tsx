import { undo } from './actions/undo.ts';
import { useView } from './view.ts';

/** Takes the last step back, and says which one that is: on screens where it may not be in sight. */
export function UndoButton() {
  const words = useView((v) => v.undo);
  return words === null ? null : (
    <button type="button" onClick={() => void undo()} data-action="undo">
      Undo: {words}
    </button>
  );
}
