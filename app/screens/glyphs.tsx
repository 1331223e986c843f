/** Signs that stand beside words, so that no state is told by colour alone. */
export type Sign = 'within' | 'slow' | 'fast' | 'asks' | 'well' | 'waiting' | 'unwell';

const paths: Record<Sign, string> = {
  within: 'M3 13l6 6L21 5',
  slow: 'M4 20L12 6l8 14M4 3h16',
  fast: 'M4 4l8 14 8-14M4 21h16',
  asks: 'M12 4v10M12 19v1',
  well: 'M4 20V9M10 20V4M16 20v-8M22 20V7',
  waiting: 'M4 12h3M10 12h4M17 12h3',
  unwell: 'M5 5l14 14M19 5L5 19',
};

export function Glyph({ sign }: { sign: Sign }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={paths[sign]} fill="none" stroke="currentColor" stroke-width="3" stroke-linecap="round" />
    </svg>
  );
}
