/** The speed ring of the practice shutter. */
export interface ShutterMark {
  /** As engraved: '1/60', '1', 'B'. */
  readonly label: string;
  /** As engraved, in seconds; null for B. */
  readonly marked: number | null;
  /** 'pallet': governor with its pallet in; 'gears': governor without it; 'none': main spring alone. */
  readonly governor: 'pallet' | 'gears' | 'none';
  /** How far this shutter's cam lies off the mark when it is sound, in stops; positive is slow. */
  readonly camOffset: number;
}

/** Slow to fast, with B first. Offsets of up to a quarter of a stop, largest at the top: common practice, no source. */
export const PRACTICE_MARKS: readonly ShutterMark[] = [
  { label: 'B', marked: null, governor: 'none', camOffset: 0 },
  { label: '1', marked: 1, governor: 'pallet', camOffset: 0.05 },
  { label: '1/2', marked: 1 / 2, governor: 'pallet', camOffset: 0.02 },
  { label: '1/4', marked: 1 / 4, governor: 'pallet', camOffset: -0.03 },
  { label: '1/8', marked: 1 / 8, governor: 'pallet', camOffset: 0.06 },
  { label: '1/15', marked: 1 / 15, governor: 'gears', camOffset: -0.05 },
  { label: '1/30', marked: 1 / 30, governor: 'gears', camOffset: 0.03 },
  { label: '1/60', marked: 1 / 60, governor: 'gears', camOffset: -0.04 },
  { label: '1/125', marked: 1 / 125, governor: 'gears', camOffset: 0.09 },
  { label: '1/250', marked: 1 / 250, governor: 'none', camOffset: 0.12 },
  { label: '1/500', marked: 1 / 500, governor: 'none', camOffset: 0.2 },
];

/** @throws RangeError if the practice shutter has no such mark. */
export function practiceMark(label: string): ShutterMark {
  const mark = PRACTICE_MARKS.find((candidate) => candidate.label === label);
  if (mark === undefined) throw new RangeError(`The practice shutter has no mark “${label}”.`);
  return mark;
}
