/** Keys as a user calls them. */

const NAMES: Readonly<Record<string, string>> = {
  Space: 'space bar',
  Enter: 'Enter',
  NumpadEnter: 'Enter of the number pad',
  Comma: ',',
  Period: '.',
  Slash: '/',
  Semicolon: ';',
  Quote: '’',
  BracketLeft: '[',
  BracketRight: ']',
  Backslash: '\\',
  Minus: '-',
  Equal: '=',
  Backquote: '`',
  IntlBackslash: '< or \\ beside the left shift key',
  ArrowUp: '↑',
  ArrowDown: '↓',
  ArrowLeft: '←',
  ArrowRight: '→',
  PageUp: 'page up',
  PageDown: 'page down',
};

/**
 * A KeyboardEvent.code in words. It names the place of the key on a keyboard with US letters; another
 * layout may have another letter there.
 */
export function keyName(code: string): string {
  const named = NAMES[code];
  if (named !== undefined) return named;
  const letter = /^(?:Key([A-Z])|Digit(\d))$/.exec(code);
  if (letter) return letter[1] ?? letter[2]!;
  const pad = /^Numpad(.+)$/.exec(code);
  if (pad) return `${pad[1]!.toLowerCase()} of the number pad`;
  return code.replace(/([a-z])([A-Z])/g, '$1 $2');
}
