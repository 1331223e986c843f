import { useLayoutEffect, useRef } from 'preact/hooks';

interface Draft {
  readonly value: string;
  /** Called when the user is done with the field. */
  readonly commit: (text: string) => void;
}

/**
 * Keeps what is being typed while the page around the field changes, and what was refused until it is put
 * right; takes over the value only when that itself changes, by undo for instance.
 */
function useDraft<Field extends HTMLInputElement | HTMLTextAreaElement>(value: string) {
  const field = useRef<Field>(null);
  useLayoutEffect(() => {
    if (field.current) field.current.value = value;
  }, [value]);
  return field;
}

interface FieldProps extends Draft {
  readonly type?: 'text' | 'number';
  readonly min?: number;
  readonly max?: number;
  readonly step?: string;
  readonly maxLength?: number;
  readonly disabled?: boolean;
  readonly placeholder?: string;
  readonly 'aria-label'?: string;
  readonly 'data-field'?: string;
}

export function DraftField({ value, commit, type = 'text', ...rest }: FieldProps) {
  const field = useDraft<HTMLInputElement>(value);
  const done = (e: { readonly currentTarget: HTMLInputElement }) => commit(e.currentTarget.value);
  return type === 'number' ? (
    <input {...rest} type="number" ref={field} onChange={done} />
  ) : (
    <input {...rest} type="text" ref={field} onChange={done} />
  );
}

interface AreaProps extends Draft {
  readonly rows: number;
  readonly 'aria-label'?: string;
  readonly 'data-field'?: string;
}

/** The same with several lines. */
export function DraftArea({ value, commit, ...rest }: AreaProps) {
  const field = useDraft<HTMLTextAreaElement>(value);
  return <textarea {...rest} ref={field} onChange={(e) => commit(e.currentTarget.value)} />;
}
