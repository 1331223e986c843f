/** Tells a reading, and which speed comes next, to ears: a tone at once, then a few words if they are wanted. */
import { readingWords } from '../reading-words.ts';
import { spokenNext, spokenReading } from '../spoken-phrases.ts';
import { type Reading, view } from '../view.ts';
import { chosenVoice, speak } from './speech.ts';
import { playTone, type ToneKind } from './tones.ts';

let reading: Reading | null = null;
let next: { readonly mark: string | null } | null = null;
let waiting = false;

/** A reading is complete. */
export function announceReading(complete: Reading): void {
  reading = complete;
  soon();
}

/** The programme has gone on to another mark; null: it is done. */
export function announceNext(mark: string | null): void {
  next = { mark };
  soon();
}

/** Says the reading on show once more. */
export function sayShown(): void {
  const { readings, shown } = view.getState();
  const there = readings.find(({ id }) => id === shown);
  if (there) announceReading(there);
}

/** Reading and next speed come in one go and are said as one phrase: a second one would cut the first short. */
function soon(): void {
  if (waiting) return;
  waiting = true;
  queueMicrotask(() => {
    waiting = false;
    const [told, then] = [reading, next];
    reading = null;
    next = null;
    tell(told, then);
  });
}

function tell(told: Reading | null, then: typeof next): void {
  const { job, preferences } = view.getState();
  const { tones, voice } = preferences;
  if (!job) return;
  const words = told && readingWords(job, told);
  if (told && words && tones.on) playTone(toneOf(told, words.kind), tones.volume);
  if (!voice.on) return;
  const speaker = chosenVoice(voice.voice);
  if (speaker === null) return;
  const phrases = [
    ...(told && words ? [spokenReading(told.mark, words, told.question !== null, speaker.lang)] : []),
    ...(then ? [spokenNext(then.mark, speaker.lang)] : []),
  ];
  speak(phrases.join('. '), speaker, voice.volume);
}

function toneOf(told: Reading, kind: ReturnType<typeof readingWords>['kind']): ToneKind {
  if (kind === 'spoilt' || kind === 'not counted') return 'spoilt';
  if (told.question !== null || kind === 'no reference' || kind === 'set aside') return 'asks';
  return kind;
}
