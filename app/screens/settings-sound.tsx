import { useEffect, useState } from 'preact/hooks';
import type { Preferences } from '../record/preferences.ts';
import { setNeverCloses } from './actions/connection.ts';
import { savePreferences } from './actions/preferences.ts';
import { loadNeverCloses } from './actions/settings.ts';
import { chosenVoice, localVoices, speak, whenVoicesChange } from './actions/speech.ts';
import { playTone, type ToneKind, wakeTones } from './actions/tones.ts';
import { KeyBindings } from './settings-keys.tsx';
import { spokenNext } from './spoken-phrases.ts';
import { useView } from './view.ts';

/** What ears and hands get of the bench: tones, a voice, keys and pedals. */
export function SoundAndKeySettings() {
  return (
    <div class="columns broad">
      <div class="stacked">
        <Tones />
        <Voice />
        <NeverCloses />
      </div>
      <KeyBindings />
    </div>
  );
}

const TONES: readonly (readonly [ToneKind, string])[] = [
  ['within', 'within'],
  ['slow', 'slow'],
  ['fast', 'fast'],
  ['spoilt', 'spoilt'],
  ['asks', 'a question'],
];

function Tones() {
  const tones = useView((v) => v.preferences.tones);
  const change = (part: Partial<Preferences['tones']>, words: string) =>
    savePreferences((p) => ({ ...p, tones: { ...p.tones, ...part } }), words);
  return (
    <section class="card">
      <h2>Tones</h2>
      <label class="tick">
        <input
          type="checkbox"
          checked={tones.on}
          onChange={(e) => change({ on: e.currentTarget.checked }, 'tones on or off')}
          data-field="tones"
        />
        A tone for each reading, which tells how it lies
      </label>
      <Volume
        label="volume of the tones"
        value={tones.volume}
        change={(volume) => change({ volume }, 'volume of the tones')}
        name="tones-volume"
      />
      <fieldset class="row plain-set" aria-label="Try the tones">
        {TONES.map(([kind, words]) => (
          <button
            type="button"
            key={kind}
            class="small"
            onClick={() => {
              wakeTones();
              playTone(kind, tones.volume);
            }}
            data-try={kind}
          >
            Try: {words}
          </button>
        ))}
      </fieldset>
    </section>
  );
}

function Voice() {
  const voice = useView((v) => v.preferences.voice);
  const voices = useVoices();
  const [silent, setSilent] = useState(false);
  const change = (part: Partial<Preferences['voice']>, words: string) =>
    savePreferences((p) => ({ ...p, voice: { ...p.voice, ...part } }), words);
  const missing = voice.voice !== null && voices.every(({ name }) => name !== voice.voice);
  const tryIt = () => {
    const speaker = chosenVoice(voice.voice);
    setSilent(speaker === null || !speak(spokenNext('1/60', speaker.lang), speaker, voice.volume));
  };
  return (
    <section class="card">
      <h2>Voice</h2>
      <label class="tick">
        <input
          type="checkbox"
          checked={voice.on}
          onChange={(e) => change({ on: e.currentTarget.checked }, 'voice on or off')}
          data-field="voice"
        />
        Readings and the next speed are said aloud
      </label>
      <label class="stretched">
        which voice
        <select
          value={voice.voice ?? ''}
          onChange={(e) => change({ voice: e.currentTarget.value || null }, 'choice of the voice')}
          data-field="voice-name"
        >
          <option value="">the first that suits the browser’s language</option>
          {missing && <option value={voice.voice!}>{voice.voice} (not on this computer)</option>}
          {voices.map(({ name, lang }) => (
            <option key={name} value={name}>
              {name} ({lang})
            </option>
          ))}
        </select>
      </label>
      <Volume
        label="volume of the voice"
        value={voice.volume}
        change={(volume) => change({ volume }, 'volume of the voice')}
        name="voice-volume"
      />
      <div class="row">
        <button type="button" onClick={tryIt} data-try="voice">
          Try the voice
        </button>
        {voices.length === 0 && (
          <span class="quiet" data-voices="0">
            This browser has no voice of its own on this computer.
          </span>
        )}
      </div>
      {silent && <p class="trouble">There is no voice on this computer that could say it.</p>}
      <p class="quiet">
        Only voices that live on this computer are offered: the others send what they say over the network.
      </p>
    </section>
  );
}

/** Voices come late: some browsers fetch them when they are first asked for. */
function useVoices(): readonly SpeechSynthesisVoice[] {
  const [voices, setVoices] = useState(localVoices);
  useEffect(() => {
    const look = () => setVoices(localVoices());
    look();
    return whenVoicesChange(look);
  }, []);
  return voices;
}

interface VolumeProps {
  readonly label: string;
  readonly value: number;
  readonly change: (volume: number) => void;
  readonly name: string;
}

function Volume({ label, value, change, name }: VolumeProps) {
  return (
    <label class="stretched">
      {label}, {Math.round(100 * value)} %
      <input
        type="range"
        min={0}
        max={100}
        step={5}
        value={Math.round(100 * value)}
        onChange={(e) => change(e.currentTarget.valueAsNumber / 100)}
        data-field={name}
      />
    </label>
  );
}

function NeverCloses() {
  const [problem, setProblem] = useState('');
  return (
    <section class="card">
      <h2>Long exposures</h2>
      <label class="stretched">
        an exposure that has not ended is reported after, s
        <input
          type="number"
          min={2}
          max={3600}
          defaultValue={String(loadNeverCloses())}
          onChange={(e) => {
            const taken = setNeverCloses(e.currentTarget.valueAsNumber);
            setProblem(taken ? '' : 'Between 2 s and 3600 s (an hour).');
          }}
          data-field="never-closes"
        />
      </label>
      {problem && <p class="trouble">{problem}</p>}
    </section>
  );
}
