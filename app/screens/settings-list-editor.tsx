import { useState } from 'preact/hooks';

export interface EditedEntry {
  readonly id: string;
  readonly name: string;
  readonly text: string;
}

/** What is wrong, a sentence each; null if nothing is. */
export type ReadEntry = readonly string[] | null;

interface Props {
  readonly title: string;
  readonly about: string;
  /** What one entry is: 'series', 'programme'. */
  readonly kind: string;
  /** What its text holds: 'marks', 'steps'. */
  readonly contents: string;
  readonly rows: number;
  readonly entries: readonly EditedEntry[];
  /** Entries that a new one may start from. */
  readonly patterns: readonly Omit<EditedEntry, 'id'>[];
  readonly read: (entry: EditedEntry) => ReadEntry;
  readonly keep: (entry: EditedEntry) => void;
  readonly drop: (entry: EditedEntry) => void;
}

/** A list of the workshop's own: each entry is opened, changed as a text and kept, or removed. */
export function ListEditor({ title, about, kind, entries, patterns, drop, ...editing }: Props) {
  const [draft, setDraft] = useState<EditedEntry | null>(null);
  const begin = (pattern: Omit<EditedEntry, 'id'>) => setDraft({ ...pattern, id: crypto.randomUUID() });
  return (
    <section class="card" data-list={kind}>
      <h2>{title}</h2>
      <p class="quiet">{about}</p>
      {entries.length > 0 && (
        <ul class="entries">
          {entries.map((entry) => (
            <li key={entry.id} data-entry={entry.name}>
              <span class="grows">{entry.name}</span>
              <button
                type="button"
                class="small"
                aria-label={`Edit ${entry.name}`}
                onClick={() => setDraft(entry)}
              >
                Edit
              </button>
              <button
                type="button"
                class="small"
                aria-label={`Remove ${entry.name}`}
                onClick={() => {
                  if (draft?.id === entry.id) setDraft(null);
                  drop(entry);
                }}
              >
                Remove
              </button>
            </li>
          ))}
        </ul>
      )}
      {draft ? (
        <Draft
          key={draft.id}
          kind={kind}
          draft={draft}
          taken={entries.filter(({ id }) => id !== draft.id).map(({ name }) => name)}
          done={() => setDraft(null)}
          {...editing}
        />
      ) : (
        <div class="row">
          <button type="button" onClick={() => begin({ name: '', text: '' })} data-action={`new-${kind}`}>
            New {kind}
          </button>
          {patterns.length > 0 && (
            <select
              class="grows"
              aria-label={`New ${kind} from`}
              value=""
              onChange={(e) => {
                const pattern = patterns.find(({ name }) => name === e.currentTarget.value);
                e.currentTarget.value = '';
                if (pattern) begin({ ...pattern, name: `${pattern.name}, own` });
              }}
            >
              <option value="">or start from …</option>
              {patterns.map(({ name }) => (
                <option key={name}>{name}</option>
              ))}
            </select>
          )}
        </div>
      )}
    </section>
  );
}

interface DraftProps extends Pick<Props, 'kind' | 'contents' | 'rows' | 'read' | 'keep'> {
  readonly draft: EditedEntry;
  /** Names of the others. */
  readonly taken: readonly string[];
  readonly done: () => void;
}

function Draft({ kind, contents, rows, draft, taken, read, keep, done }: DraftProps) {
  const [name, setName] = useState(draft.name);
  const [text, setText] = useState(draft.text);
  const [problems, setProblems] = useState<readonly string[]>([]);
  const save = (event: Event) => {
    event.preventDefault();
    const entry = { id: draft.id, name: name.trim(), text };
    const found = [
      ...(entry.name === '' ? [`The ${kind} needs a name.`] : []),
      ...(taken.includes(entry.name) ? [`There is another ${kind} with the name “${entry.name}”.`] : []),
      ...(read(entry) ?? []),
    ];
    setProblems(found);
    if (found.length > 0) return;
    keep(entry);
    done();
  };
  return (
    <form class="fields" onSubmit={save} data-draft={kind}>
      <label class="wide">
        name
        <input
          value={name}
          maxLength={100}
          onInput={(e) => setName(e.currentTarget.value)}
          data-field={`${kind}-name`}
        />
      </label>
      <label class="wide">
        {contents}
        <textarea
          rows={rows}
          value={text}
          onInput={(e) => setText(e.currentTarget.value)}
          data-field={`${kind}-text`}
        />
      </label>
      {problems.length > 0 && (
        <div class="wide trouble" role="alert">
          {problems.map((sentence) => (
            <div key={sentence}>{sentence}</div>
          ))}
        </div>
      )}
      <div class="row wide">
        <button type="submit" class="main" data-action={`keep-${kind}`}>
          Keep
        </button>
        <button type="button" onClick={done}>
          Leave it as it was
        </button>
      </div>
    </form>
  );
}
