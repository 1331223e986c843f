/** A number with its sign, '+1.2' or '−1.2' (U+2212), and no sign for what rounds to nothing. */
export function signed(value: number, decimals: number): string {
  const figure = Math.abs(value).toFixed(decimals);
  if (Number(figure) === 0) return figure;
  return `${value < 0 ? '−' : '+'}${figure}`;
}
