/**
 * Readings said aloud by one of the browser's own voices. Only voices that live on this computer are used:
 * the others send what they are to say over the network.
 */

/** After a voice was cut short it swallows the next words unless it is given this long. */
const BREATH_MS = 50;

/** Voices of this computer; they may come late, or not at all. */
export const localVoices = (): readonly SpeechSynthesisVoice[] =>
  typeof speechSynthesis === 'undefined'
    ? []
    : speechSynthesis.getVoices().filter(({ localService }) => localService);

/** Tells when the voices are there, or others. Returns how to stop listening. */
export function whenVoicesChange(tell: () => void): () => void {
  if (typeof speechSynthesis === 'undefined') return () => {};
  speechSynthesis.addEventListener('voiceschanged', tell);
  return () => speechSynthesis.removeEventListener('voiceschanged', tell);
}

/** The voice the user chose, else the first in the page's or the browser's language; null if there is none. */
export function chosenVoice(name: string | null): SpeechSynthesisVoice | null {
  const voices = localVoices();
  const inLanguage = (language: string) =>
    voices.find(({ lang }) => lang.toLowerCase().startsWith(language.slice(0, 2).toLowerCase()));
  return (
    voices.find((voice) => voice.name === name) ??
    inLanguage(navigator.language) ??
    inLanguage('en') ??
    voices[0] ??
    null
  );
}

let waiting: ReturnType<typeof setTimeout> | undefined;

/** Says a short phrase instead of whatever is being said. False where no local voice can. */
export function speak(phrase: string, voice: SpeechSynthesisVoice | null, volume: number): boolean {
  if (voice === null || phrase === '') return false;
  clearTimeout(waiting);
  speechSynthesis.cancel();
  waiting = setTimeout(() => {
    const utterance = new SpeechSynthesisUtterance(phrase);
    utterance.voice = voice;
    utterance.lang = voice.lang;
    utterance.volume = Math.min(1, Math.max(0, volume));
    utterance.rate = 1.1;
    speechSynthesis.speak(utterance);
  }, BREATH_MS);
  return true;
}
