import { useEffect, useRef, useState } from 'preact/hooks';
import type { JobNote } from '../record/job.ts';
import { record } from './actions/record.ts';

/** A picture of the job, read when it is shown and let go of afterwards. */
export function StoredPicture({ id, words, lazy = true }: { id: string; words: string; lazy?: boolean }) {
  const [found, setFound] = useState<{ url: string; width: number; height: number } | null>(null);
  const [trouble, setTrouble] = useState('');
  useEffect(() => {
    let gone = false;
    let url = '';
    setFound(null);
    setTrouble('');
    void (async () => {
      try {
        const picture = await (await record()).loadPicture(id);
        if (gone) return;
        if (!picture) throw new Error('This picture is no longer there.');
        const { type, width, height } = picture;
        url = URL.createObjectURL(new Blob([new Uint8Array(picture.bytes)], { type }));
        setFound({ url, width, height });
      } catch (error) {
        if (!gone) setTrouble((error as Error).message);
      }
    })();
    return () => {
      gone = true;
      if (url !== '') URL.revokeObjectURL(url);
    };
  }, [id]);
  if (trouble) return <p class="trouble">{trouble}</p>;
  if (!found) return <span class="picture-place quiet">…</span>;
  return (
    <img
      src={found.url}
      width={found.width}
      height={found.height}
      alt={words}
      loading={lazy ? 'lazy' : 'eager'}
      decoding="async"
      data-picture={id}
    />
  );
}

interface LargeProps {
  /** Notes with a picture, in the order in which they are gone through. */
  readonly notes: readonly JobNote[];
  readonly shown: string;
  readonly show: (id: string) => void;
  readonly close: () => void;
}

/** One picture as large as the window lets it be; arrow keys go to the others. */
export function LargePicture({ notes, shown, show, close }: LargeProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  const at = notes.findIndex(({ id }) => id === shown);
  const note = notes[at];
  // Its note may be gone, by undo for instance.
  useEffect(() => {
    if (!note) close();
  }, [note]);
  const go = (step: number) => {
    const to = notes[at + step];
    if (to) show(to.id);
  };
  return (
    <dialog
      ref={dialog}
      class="large"
      aria-label="Picture"
      onClose={close}
      onKeyDown={(e) => {
        e.stopPropagation();
        if (e.key === 'ArrowLeft') go(-1);
        if (e.key === 'ArrowRight') go(1);
      }}
    >
      {note?.picture && <StoredPicture id={note.picture} words={pictureWords(note)} lazy={false} />}
      <div class="row">
        <p class="grows">{note?.text}</p>
        <span class="quiet">
          {at + 1} of {notes.length}
        </span>
        <button type="button" disabled={at <= 0} onClick={() => go(-1)}>
          Before <kbd>←</kbd>
        </button>
        <button type="button" disabled={at >= notes.length - 1} onClick={() => go(1)}>
          Next <kbd>→</kbd>
        </button>
        <button type="button" onClick={() => dialog.current?.close()}>
          Close <kbd>Esc</kbd>
        </button>
      </div>
    </dialog>
  );
}

/** What a picture is called where it can't be seen. */
export const pictureWords = ({ text }: JobNote): string =>
  text.trim() === '' ? 'Picture without words' : `Picture: ${text.trim()}`;
