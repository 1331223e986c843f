import { view } from '../view.ts';

let next = 1;

/** Says something to the user: a word that goes by itself, or trouble that stays until it is dismissed. */
export function say(text: string, tone: 'word' | 'trouble' = 'word'): void {
  const id = next++;
  view.setState((v) => ({
    notices: [...v.notices.filter((n) => n.text !== text), { id, tone, text }].slice(-4),
  }));
  if (tone === 'word') setTimeout(() => dismiss(id), 6000);
}

export function dismiss(id: number): void {
  view.setState((v) => ({ notices: v.notices.filter((n) => n.id !== id) }));
}

/** Takes back what is no longer so. */
export function unsay(text: string): void {
  view.setState((v) => ({ notices: v.notices.filter((n) => n.text !== text) }));
}
