import { useEffect, useRef } from 'preact/hooks';
import { EVERYWHERE_KEYS, SCREEN_HELP } from './help-screens.ts';
import { TERMS } from './help-terms.ts';
import type { Screen } from './view.ts';

interface Props {
  readonly screen: Screen;
  /** The term that was asked for. */
  readonly term: string | null;
  readonly asked: number;
}

/** What the screen is for, its keys, and what each figure means. */
export function HelpContents({ screen, term, asked }: Props) {
  const list = useRef<HTMLDivElement>(null);
  const { title, purpose, keys } = SCREEN_HELP[screen];
  useEffect(() => {
    const entry = list.current?.querySelector<HTMLDetailsElement>(`[data-meaning="${term}"]`);
    if (!entry) return;
    entry.open = true;
    entry.scrollIntoView({ block: 'start' });
    entry.querySelector('summary')?.focus();
  }, [term, asked]);
  const all = [...keys, ...EVERYWHERE_KEYS];
  return (
    <>
      <section aria-label={`About ${title}`} data-about={screen}>
        <h3>{title}</h3>
        {purpose.map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
        <table data-table="help keys">
          <caption>Keys</caption>
          <tbody>
            {all.map(([names, words]) => (
              <tr key={words}>
                <th scope="row">
                  {names.map((name, index) => (
                    <span key={name}>
                      {index > 0 && ' '}
                      <kbd>{name}</kbd>
                    </span>
                  ))}
                </th>
                <td class="left words">{words}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <section aria-label="What the figures mean" ref={list}>
        <h3>What the figures mean</h3>
        {TERMS.map(({ id, name, text, source }) => (
          <details key={id} data-meaning={id}>
            <summary>{name}</summary>
            {text.map((sentence) => (
              <p key={sentence}>{sentence}</p>
            ))}
            {source && <p class="quiet">{source}</p>}
          </details>
        ))}
      </section>
    </>
  );
}
