import { useRef } from 'preact/hooks';

export interface PickerColumn {
  readonly id: string;
  /** Edges as shares of the drawing's width, 0 to 1. */
  readonly from: number;
  readonly to: number;
  /** What stands there with its values, for whoever can't see it. */
  readonly label: string;
}

interface Props {
  /** What is chosen from. */
  readonly label: string;
  readonly columns: readonly PickerColumn[];
  readonly chosen: string | null;
  readonly choose: (id: string) => void;
  /** The pointer is over a column, or over none. */
  readonly hover: (id: string | null) => void;
}

/**
 * Lies over a drawing whose points stand in columns: the arrow keys go from one to the next, the pointer
 * reads the one beneath it. The drawing itself stays one picture.
 */
export function ResultsPicker({ label, columns, chosen, choose, hover }: Props) {
  const host = useRef<HTMLFieldSetElement>(null);
  const entry = columns.some(({ id }) => id === chosen) ? chosen : (columns[0]?.id ?? null);

  function press(event: KeyboardEvent, index: number) {
    const to = placeAfter(event, index, columns.length);
    const column = to === null ? undefined : columns[to];
    if (!column) return;
    event.preventDefault();
    // A pointer left lying on the drawing must not outweigh the keys.
    hover(null);
    choose(column.id);
    host.current?.querySelectorAll('button')[to!]?.focus();
  }

  return (
    <fieldset class="picker" aria-label={label} ref={host} onPointerLeave={() => hover(null)}>
      {columns.map(({ id, from, to, label: words }, index) => (
        <button
          type="button"
          key={id}
          style={{ left: `${100 * from}%`, width: `${100 * (to - from)}%` }}
          tabIndex={id === entry ? 0 : -1}
          aria-pressed={id === chosen}
          aria-label={words}
          data-column={id}
          onClick={() => choose(id)}
          onPointerEnter={() => hover(id)}
          onKeyDown={(event) => press(event, index)}
        />
      ))}
    </fieldset>
  );
}

/** Where a key leads from place `index` of `count`; null for a key that leads nowhere. Stops at the ends. */
function placeAfter(event: KeyboardEvent, index: number, count: number): number | null {
  if (event.ctrlKey || event.metaKey || event.altKey) return null;
  switch (event.key) {
    case 'ArrowLeft':
      return Math.max(0, index - 1);
    case 'ArrowRight':
      return Math.min(count - 1, index + 1);
    case 'Home':
      return 0;
    case 'End':
      return count - 1;
    default:
      return null;
  }
}
