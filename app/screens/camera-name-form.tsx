import { useState } from 'preact/hooks';

interface Props {
  /** What the name is asked for. */
  readonly label: string;
  readonly button: string;
  readonly maxLength: number;
  readonly field: string;
  readonly action: string;
  /** Takes the name, or answers with a sentence on what is wrong with it; empty: nothing is. */
  readonly take: (name: string) => string;
}

/** One name and a button. The name is gone once it was taken. */
export function NameForm({ label, button, maxLength, field, action, take }: Props) {
  const [name, setName] = useState('');
  const [problem, setProblem] = useState('');
  return (
    <form
      class="row acts"
      onSubmit={(event) => {
        event.preventDefault();
        const wrong = take(name.trim());
        setProblem(wrong);
        if (wrong === '') setName('');
      }}
    >
      <label class="row grows">
        {label}
        <input
          value={name}
          maxLength={maxLength}
          onInput={(e) => setName(e.currentTarget.value)}
          data-field={field}
        />
      </label>
      <button type="submit" data-action={action}>
        {button}
      </button>
      {problem && <p class="trouble wide">{problem}</p>}
    </form>
  );
}
