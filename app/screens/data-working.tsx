interface Props {
  readonly words: string;
  /** 0 to 1. */
  readonly part: number;
  readonly stop: () => void;
}

/** Something that takes its time, how far it has come, and the way out. */
export function Working({ words, part, stop }: Props) {
  const percent = Math.round(100 * part);
  return (
    <div data-working={words}>
      <label>
        {words}, {percent} %
        <progress value={part} max={1} />
      </label>
      <button type="button" onClick={stop} data-action="stop">
        Stop
      </button>
    </div>
  );
}
