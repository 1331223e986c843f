/** No source has a way by which text from a board or a file could become markup or a script. */
import fs from 'node:fs';
import path from 'node:path';
import { expect, it } from 'vitest';

const ROOT = path.join(import.meta.dirname, '../..');

const WAYS: readonly RegExp[] = [
  /\b(inner|outer)HTML\b/,
  /\binsertAdjacentHTML\b/,
  /\b(set|get)HTML(Unsafe)?\b/,
  /\bdangerouslySetInnerHTML\b/,
  /\bdocument\s*\.\s*write(ln)?\b/,
  /\bcreateContextualFragment\b/,
  /\bDOMParser\b/,
  /\bsrcdoc\b/i,
  /\beval\b\s*\(/,
  /\bFunction\s*\(/,
  /\bset(Timeout|Interval)\s*\(\s*['"`]/,
  /\bjavascript:/i,
  /<(iframe|object|embed)\b/i,
];

const waysIn = (source: string) => WAYS.filter((way) => way.test(source)).map(String);

it('in the whole page', () => {
  const files = fs
    .readdirSync(path.join(ROOT, 'app'), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.(tsx?|html|svg)$/.test(name));
  expect(files.length).toBeGreaterThan(100);
  const found = files.flatMap((name) =>
    waysIn(fs.readFileSync(path.join(ROOT, 'app', name), 'utf8')).map((way) => `${name}: ${way}`),
  );
  expect(found).toEqual([]);
});

it.each([
  'element.innerHTML = text;',
  'element.outerHTML = text;',
  "element.insertAdjacentHTML('beforeend', text);",
  'element.setHTMLUnsafe(text);',
  '<p dangerouslySetInnerHTML={{ __html: text }} />',
  'document.write(text);',
  'range.createContextualFragment(text);',
  "new DOMParser().parseFromString(text, 'text/html');",
  'frame.srcdoc = text;',
  'eval(text);',
  'new Function(text)();',
  "setTimeout('stop()', 100);",
  '<a href="javascript:void 0">',
  '<iframe src={text} />',
])('would be reported: %s', (source) => {
  expect(waysIn(source)).toHaveLength(1);
});
