import type { ComponentType } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { FirstStepsLine } from './help-first-steps.tsx';
import { closeHelp, helpState, toggleHelp } from './help-state.ts';
import type { Screen } from './view.ts';
import './help.css';

export { toggleHelp };

/** What the panel holds is fetched when it is first opened: the start page needs none of it. */
type Contents = ComponentType<{ screen: Screen; term: string | null; asked: number }>;

/** Help beside the screen, which stays usable: opened by its button, by `?` and by the name of a figure. */
export function HelpPanel({ screen }: { screen: Screen }) {
  const [{ open, term, asked }, setState] = useState(helpState.getState());
  useEffect(() => helpState.subscribe(setState), []);
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
      if ((event.target as HTMLElement).closest('input, textarea, select')) return;
      if (event.key !== '?') return;
      event.preventDefault();
      toggleHelp();
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, []);
  return (
    <>
      {open && <Open screen={screen} term={term} asked={asked} />}
      {screen !== 'start' && <FirstStepsLine screen={screen} />}
    </>
  );
}

function Open({ screen, term, asked }: { screen: Screen; term: string | null; asked: number }) {
  const [Contents, setContents] = useState<Contents | null>(null);
  const [missing, setMissing] = useState(false);
  const panel = useRef<HTMLElement>(null);
  // At once, before whatever else may take the focus: it goes back to where it was.
  useLayoutEffect(() => {
    const before = document.activeElement;
    panel.current?.focus();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  useEffect(() => {
    import('./help-contents.tsx').then(
      ({ HelpContents }) => setContents(() => HelpContents),
      () => setMissing(true),
    );
  }, []);
  return (
    <aside
      class="help"
      aria-label="Help"
      tabIndex={-1}
      ref={panel}
      data-help={screen}
      onKeyDown={(event) => {
        if (event.key !== 'Escape') return;
        event.stopPropagation();
        closeHelp();
      }}
    >
      <div class="row heading">
        <h2>Help</h2>
        <button type="button" onClick={closeHelp} aria-label="Close the help" data-action="close-help">
          ✕
        </button>
      </div>
      {Contents ? (
        <Contents screen={screen} term={term} asked={asked} />
      ) : (
        <p role="status">
          {missing ? 'The help could not be loaded. Is the page still being served?' : 'Loading …'}
        </p>
      )}
    </aside>
  );
}
