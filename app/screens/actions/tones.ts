/**
 * Short tones that tell a reading to whoever looks at the camera. Each differs in pitch, in rhythm and in the
 * way it moves, so that it is told apart in a noisy room and by ears that hear little of one pitch.
 */
export type ToneKind = 'within' | 'slow' | 'fast' | 'spoilt' | 'asks';

/** Hz and seconds, one after the other; a pitch of 0 is a pause. */
type Note = readonly [hertz: number, seconds: number];

const MELODIES: Readonly<Record<ToneKind, readonly Note[]>> = {
  within: [[880, 0.16]],
  // Longer and falling: the blades took their time.
  slow: [
    [523, 0.14],
    [392, 0.3],
  ],
  // Short and rising.
  fast: [
    [784, 0.07],
    [1175, 0.1],
  ],
  spoilt: [
    [196, 0.1],
    [0, 0.06],
    [196, 0.1],
    [0, 0.06],
    [196, 0.1],
  ],
  asks: [
    [659, 0.09],
    [0, 0.08],
    [659, 0.09],
  ],
};

/** Without a ramp the loudspeaker clicks. */
const RAMP = 0.008;
const LOUDEST = 0.4;

let context: AudioContext | null = null;

/** Browsers give sound only after the user has done something: to be called from a click or a key. */
export function wakeTones(): void {
  if (typeof AudioContext === 'undefined') return;
  context ??= new AudioContext();
  if (context.state === 'suspended') void context.resume().catch(() => undefined);
}

/** Plays one of the tones; `volume` from 0 to 1. Silent where the browser gives no sound. */
export function playTone(kind: ToneKind, volume: number): void {
  if (context === null || context.state !== 'running' || volume <= 0) return;
  let at = context.currentTime;
  for (const [hertz, lasts] of MELODIES[kind]) {
    if (hertz > 0) playNote(context, hertz, at, lasts, Math.min(1, volume) * LOUDEST);
    at += lasts;
  }
}

function playNote(on: AudioContext, hertz: number, at: number, lasts: number, loud: number): void {
  const oscillator = on.createOscillator();
  const gain = on.createGain();
  oscillator.type = 'triangle';
  oscillator.frequency.value = hertz;
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(loud, at + RAMP);
  gain.gain.setValueAtTime(loud, at + lasts - RAMP);
  gain.gain.linearRampToValueAtTime(0, at + lasts);
  oscillator.connect(gain).connect(on.destination);
  oscillator.start(at);
  oscillator.stop(at + lasts);
}
