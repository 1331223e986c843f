import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { DataSettings } from './data-settings.tsx';
import { BoardSettings } from './settings-boards.tsx';
import { ListSettings } from './settings-lists.tsx';
import { NewJobSettings } from './settings-new-jobs.tsx';
import { onSettingsPart, type SettingsPart, settingsPart, showSettingsPart } from './settings-part.ts';
import { SoundAndKeySettings } from './settings-sound.tsx';
import { WorkshopSettings } from './settings-workshop.tsx';
import { UndoButton } from './undo-button.tsx';
import './settings.css';

const PARTS: readonly {
  readonly id: SettingsPart;
  readonly name: string;
  readonly Part: ComponentType;
}[] = [
  { id: 'workshop', name: 'Workshop and papers', Part: WorkshopSettings },
  { id: 'new-jobs', name: 'New jobs', Part: NewJobSettings },
  { id: 'lists', name: 'Series, programmes, check lists', Part: ListSettings },
  { id: 'sound', name: 'Sound, keys, bench', Part: SoundAndKeySettings },
  { id: 'boards', name: 'Boards', Part: BoardSettings },
  { id: 'data', name: 'Data and back-up', Part: DataSettings },
];

/** How the workshop likes its jobs, papers and bench, and what is kept of them. One part at a time is on show. */
export function SettingsScreen() {
  const [part, setPart] = useState(settingsPart);
  useEffect(() => onSettingsPart(setPart), []);
  const { name, Part } = PARTS.find(({ id }) => id === part)!;
  return (
    <main class="sheet settings" data-settings={part}>
      <div class="row heading">
        <h1>Settings</h1>
        <UndoButton />
      </div>
      <nav class="parts" aria-label="Parts of the settings">
        {PARTS.map((one) => (
          <button
            type="button"
            key={one.id}
            aria-current={one.id === part ? 'true' : undefined}
            onClick={() => showSettingsPart(one.id)}
            data-part={one.id}
          >
            {one.name}
          </button>
        ))}
      </nav>
      <section aria-label={name}>
        <Part />
      </section>
    </main>
  );
}
