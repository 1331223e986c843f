import type { JSX } from 'preact';

type InputProps = Omit<JSX.IntrinsicElements['input'], 'value' | 'onChange' | 'onInput'>;

interface DraftProps extends InputProps {
  readonly value: string;
  /** Called when the user is done with the field. */
  readonly commit: (text: string) => void;
}

/**
 * A field that keeps what is being typed while the page around it changes, and what was refused until it
 * is put right. The key makes it anew when the value itself has changed, by undo for instance.
 */
export const DraftField = ({ value, commit, ...rest }: DraftProps) => (
  <input
    key={value}
    defaultValue={value}
    onChange={(e) => commit(e.currentTarget.value)}
    {...(rest as object)}
  />
);

type AreaProps = Omit<JSX.IntrinsicElements['textarea'], 'value' | 'onChange' | 'onInput'>;

interface DraftAreaProps extends AreaProps {
  readonly value: string;
  readonly commit: (text: string) => void;
}

/** The same with several lines. */
export const DraftArea = ({ value, commit, ...rest }: DraftAreaProps) => (
  <textarea
    key={value}
    defaultValue={value}
    onChange={(e) => commit(e.currentTarget.value)}
    {...(rest as object)}
  />
);
