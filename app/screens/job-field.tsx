import { DraftArea, DraftField } from './draft-field.tsx';

interface Props {
  readonly label: string;
  /** Its data-field. */
  readonly name: string;
  readonly value: string;
  readonly change: (text: string) => void;
}

/** A line of text with its label. */
export function JobField({ label, name, value, change }: Props) {
  return (
    <label>
      {label}
      <DraftField value={value} commit={change} data-field={name} maxLength={200} />
    </label>
  );
}

/** Several lines of text with their label, over the whole width. */
export function JobArea({ label, name, value, change, rows = 2 }: Props & { readonly rows?: number }) {
  return (
    <label class="wide">
      {label}
      <DraftArea rows={rows} value={value} commit={change} data-field={name} />
    </label>
  );
}
