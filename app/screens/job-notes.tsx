import { useEffect, useRef, useState } from 'preact/hooks';
import type { Job, JobNote } from '../record/job.ts';
import { addNote, addPictures, changeNote, deleteNote } from './actions/pictures.ts';
import { momentText } from './day-text.ts';
import { DraftArea } from './draft-field.tsx';
import { CameraShot } from './job-camera-shot.tsx';
import { LargePicture, pictureWords, StoredPicture } from './job-picture.tsx';
import { useView } from './view.ts';

/** The latest come first; the older ones are a button away. */
const AT_ONCE = 6;

/** What is being written and not yet added, by job: going to the bench and back loses nothing. */
const drafts = new Map<string, string>();

/** The diary of a job, the newest first, since a camera goes together in the reverse order. */
export function NotesCard({ job }: { job: Job }) {
  const [most, setMost] = useState(AT_ONCE);
  const [large, setLarge] = useState<string | null>(null);
  const newestFirst = job.notes.toReversed();
  const pictured = newestFirst.filter(({ picture }) => picture !== null);
  return (
    <section class="card notes" data-part="notes" tabIndex={-1} aria-label="Notes and pictures">
      <h2>Notes and pictures</h2>
      <NewNote key={job.id} jobId={job.id} />
      {job.notes.length === 0 ? (
        <p class="quiet">
          For the order of parts, and which screw sat where. Drop or paste pictures anywhere on this screen;
          smaller copies are kept with the job, the files stay as they are.
        </p>
      ) : (
        <ol data-list="notes">
          {newestFirst.slice(0, most).map((note) => (
            <NoteLine key={note.id} note={note} enlarge={() => setLarge(note.id)} />
          ))}
        </ol>
      )}
      {newestFirst.length > most && (
        <button type="button" onClick={() => setMost(most + 4 * AT_ONCE)}>
          Show more ({newestFirst.length - most} left)
        </button>
      )}
      {large !== null && (
        <LargePicture notes={pictured} shown={large} show={setLarge} close={() => setLarge(null)} />
      )}
    </section>
  );
}

function NoteLine({ note, enlarge }: { note: JobNote; enlarge: () => void }) {
  const style = useView((v) => v.preferences.papers.dates);
  const when = momentText(note.at, style);
  const what = note.picture === null ? 'note' : 'picture';
  return (
    <li data-note={what}>
      {note.picture !== null && (
        <button type="button" class="thumb" onClick={enlarge} title="Shows it large" data-action="enlarge">
          <StoredPicture id={note.picture} words={pictureWords(note)} />
        </button>
      )}
      <div class="beside">
        <span class="quiet">{when}</span>
        <DraftArea
          rows={note.picture === null ? 2 : 1}
          value={note.text}
          commit={(text) => changeNote(note.id, { text }, `words of a ${what}`)}
          aria-label={`Words of the ${what} of ${when}`}
        />
        <div class="row">
          <label class="tick">
            <input
              type="checkbox"
              checked={note.onJobSheet}
              onChange={(e) =>
                changeNote(note.id, { onJobSheet: e.currentTarget.checked }, `${what} for the job sheet`)
              }
              data-field="on-job-sheet"
            />
            on the job sheet
          </label>
          <button
            type="button"
            class="small"
            aria-label={`Delete the ${what} of ${when}`}
            onClick={() => deleteNote(note)}
            data-action="delete-note"
          >
            Delete
          </button>
        </div>
      </div>
    </li>
  );
}

function NewNote({ jobId }: { jobId: string }) {
  const [text, setText] = useState(drafts.get(jobId) ?? '');
  const [coming, setComing] = useState('');
  const [shooting, setShooting] = useState(false);
  const chooser = useRef<HTMLInputElement>(null);
  const shooter = useRef<HTMLInputElement>(null);
  const write = (words: string) => {
    drafts.set(jobId, words);
    setText(words);
  };
  const add = () => {
    if (text.trim() === '') return;
    addNote(text.trim());
    write('');
  };
  const take = (files: Iterable<File>) => {
    const all = [...files];
    if (all.length === 0) return;
    void addPictures(all, (done, of) =>
      setComing(done === of ? '' : of === 1 ? 'Adding a picture …' : `Adding picture ${done + 1} of ${of} …`),
    );
  };
  useDropAndPaste(take);
  return (
    <>
      <textarea
        rows={2}
        value={text}
        aria-label="New note"
        placeholder="new note"
        onInput={(e) => write(e.currentTarget.value)}
        onKeyDown={(e) => {
          if (e.key === 'Enter' && (e.ctrlKey || e.metaKey)) add();
        }}
        data-field="new-note"
      />
      <div class="row adds">
        <button type="button" disabled={text.trim() === ''} onClick={add} data-action="add-note">
          Add note <kbd>Ctrl Enter</kbd>
        </button>
        <button type="button" onClick={() => chooser.current?.click()}>
          Choose pictures
        </button>
        <button
          type="button"
          onClick={() => (handHeld() ? shooter.current?.click() : setShooting(true))}
          data-action="camera"
        >
          Take a picture
        </button>
        <input
          ref={chooser}
          type="file"
          hidden
          multiple
          accept="image/*"
          aria-label="Pictures"
          onChange={(e) => {
            take(e.currentTarget.files ?? []);
            e.currentTarget.value = '';
          }}
          data-action="choose-pictures"
        />
        <input
          ref={shooter}
          type="file"
          hidden
          accept="image/*"
          capture="environment"
          aria-label="Picture of the device’s camera"
          onChange={(e) => {
            take(e.currentTarget.files ?? []);
            e.currentTarget.value = '';
          }}
        />
        <span class="quiet" role="status">
          {coming}
        </span>
      </div>
      {shooting && <CameraShot close={() => setShooting(false)} />}
    </>
  );
}

/** On a tablet its own camera takes the better picture; elsewhere, or without leave to use one, the page does. */
const handHeld = (): boolean => matchMedia('(pointer: coarse)').matches || !navigator.mediaDevices;

/** Pictures may be dropped or pasted anywhere on the screen: a file that misses must not replace the page. */
function useDropAndPaste(take: (files: Iterable<File>) => void): void {
  const latest = useRef(take);
  latest.current = take;
  useEffect(() => {
    const over = (event: DragEvent) => {
      if (event.dataTransfer?.types.includes('Files')) event.preventDefault();
    };
    const drop = (event: DragEvent) => {
      if (!event.dataTransfer?.types.includes('Files')) return;
      event.preventDefault();
      latest.current(event.dataTransfer.files);
    };
    const paste = (event: ClipboardEvent) => {
      const files = event.clipboardData?.files;
      if (!files || files.length === 0) return;
      event.preventDefault();
      latest.current(files);
    };
    addEventListener('dragover', over);
    addEventListener('drop', drop);
    addEventListener('paste', paste);
    return () => {
      removeEventListener('dragover', over);
      removeEventListener('drop', drop);
      removeEventListener('paste', paste);
    };
  }, []);
}
