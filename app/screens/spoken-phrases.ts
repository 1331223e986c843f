/** What is said aloud: a few words in the language of the voice, numbers as that language writes them. */
import type { ReadingWords } from './reading-words.ts';

interface Vocabulary {
  readonly within: string;
  readonly slow: string;
  readonly fast: string;
  readonly spoilt: string;
  readonly 'set aside': string;
  readonly 'not counted': string;
  readonly asks: string;
  readonly next: string;
  readonly done: string;
  readonly second: string;
  readonly seconds: string;
}

const ENGLISH: Vocabulary = {
  within: 'good',
  slow: 'slow',
  fast: 'fast',
  spoilt: 'spoilt, fire again',
  'set aside': 'set aside',
  'not counted': 'not counted',
  asks: 'is the dial at',
  next: 'next',
  done: 'all speeds done',
  second: 'second',
  seconds: 'seconds',
};

const VOCABULARIES: Readonly<Record<string, Vocabulary>> = {
  en: ENGLISH,
  de: {
    within: 'gut',
    slow: 'zu lang',
    fast: 'zu kurz',
    spoilt: 'verdorben, noch einmal',
    'set aside': 'beiseite',
    'not counted': 'nicht gezählt',
    asks: 'steht das Rad auf',
    next: 'weiter mit',
    done: 'alle Zeiten fertig',
    second: 'Sekunde',
    seconds: 'Sekunden',
  },
  fr: {
    within: 'bon',
    slow: 'lent',
    fast: 'rapide',
    spoilt: 'gâché, recommencez',
    'set aside': 'mis de côté',
    'not counted': 'pas compté',
    asks: 'la bague est-elle sur',
    next: 'ensuite',
    done: 'toutes les vitesses sont faites',
    second: 'seconde',
    seconds: 'secondes',
  },
  es: {
    within: 'bien',
    slow: 'lento',
    fast: 'rápido',
    spoilt: 'perdido, otra vez',
    'set aside': 'apartado',
    'not counted': 'no cuenta',
    asks: 'está el dial en',
    next: 'siguiente',
    done: 'todas las velocidades hechas',
    second: 'segundo',
    seconds: 'segundos',
  },
  it: {
    within: 'bene',
    slow: 'lento',
    fast: 'veloce',
    spoilt: 'perso, di nuovo',
    'set aside': 'messo da parte',
    'not counted': 'non contato',
    asks: 'la ghiera è su',
    next: 'poi',
    done: 'tutti i tempi fatti',
    second: 'secondo',
    seconds: 'secondi',
  },
};

/** Of the voice's language tag ('de-AT'); English where there are no words for it. */
const wordsOf = (language: string): Vocabulary => VOCABULARIES[language.slice(0, 2).toLowerCase()] ?? ENGLISH;

/** A mark as it is called at the bench: '1/60' is said '60', '2' is said '2 seconds'. */
export function spokenMark(mark: string, language: string): string {
  const fraction = /^1\/(\d+)$/.exec(mark);
  if (fraction) return fraction[1]!;
  const words = wordsOf(language);
  return /^\d+(\.\d+)?$/.test(mark) ? `${mark} ${mark === '1' ? words.second : words.seconds}` : mark;
}

/** Only where the word tells the direction, or the size is small anyway. */
const TELLS_SIZE: ReadonlySet<ReadingWords['kind']> = new Set(['within', 'slow', 'fast']);

/** '60: slow 0.3'. `asks`: the firing lies far from its mark. */
export function spokenReading(mark: string, said: ReadingWords, asks: boolean, language: string): string {
  const words = wordsOf(language);
  const where = spokenMark(mark, language);
  if (asks) return `${words.asks} ${where}?`;
  if (said.kind === 'no reference') return where;
  const size =
    said.error === null || !TELLS_SIZE.has(said.kind) ? '' : ` ${spokenNumber(said.error, language)}`;
  return `${where}: ${words[said.kind]}${size}`;
}

/** Without its sign, to one decimal. */
function spokenNumber(error: number, language: string): string {
  return new Intl.NumberFormat(language, {
    minimumFractionDigits: 1,
    maximumFractionDigits: 1,
  }).format(Math.abs(error));
}

/** 'next 125', or that all is done (null). */
export function spokenNext(mark: string | null, language: string): string {
  const words = wordsOf(language);
  return mark === null ? words.done : `${words.next} ${spokenMark(mark, language)}`;
}
