/**
 * A time as photographers read it. Below 0.3 s the reciprocal: whole from 30 up ('1/118 s'), one decimal
 * below, left out where it is zero ('1/8.3 s', '1/15 s'). From 0.3 s on seconds with two decimals, from
 * 10 s with one, from 100 s whole ('0.52 s', '12.3 s', '240 s').
 */
export function shutterFraction(time: number): string {
  if (!(time > 0) || !Number.isFinite(time)) return '–';
  if (time < 0.3) {
    const reciprocal = 1 / time;
    if (reciprocal >= 29.95) return `1/${Math.round(reciprocal)} s`;
    return `1/${Number(reciprocal.toFixed(1))} s`;
  }
  return `${time.toFixed(time < 9.995 ? 2 : time < 99.95 ? 1 : 0)} s`;
}

/**
 * A time in milliseconds with three significant digits ('8.47 ms', '16.7 ms', '125 ms'), from one second
 * on in seconds with three decimals ('1.034 s'), from 10 s with two. Negative times keep their sign.
 */
export function timeText(time: number): string {
  if (!Number.isFinite(time)) return '–';
  const sign = time < 0 ? '−' : '';
  const milliseconds = Math.abs(time) * 1000;
  if (milliseconds >= 999.5) {
    const value = milliseconds / 1000;
    return `${sign}${value.toFixed(value < 9.9995 ? 3 : 2)} s`;
  }
  const digits = milliseconds >= 99.95 ? 0 : milliseconds >= 9.995 ? 1 : milliseconds >= 0.9995 ? 2 : 3;
  const text = milliseconds.toFixed(digits);
  return `${Number(text) === 0 ? '' : sign}${text} ms`;
}
