import { SHUTTER_CONDITIONS, type ShutterCondition } from '../../practice/conditions.ts';
import { LEAD_STATES, type LeadState } from '../../practice/contact-line.ts';
import { type PracticeSync, SYNC_SETTINGS } from '../../practice/flash-contact.ts';
import { type LightLevels, PRACTICE_LIGHT } from '../../practice/light.ts';
import { PRACTICE_MARKS } from '../../practice/marks.ts';
import type { PracticeBench } from '../../practice/practice-bench.ts';
import type { PracticeState } from '../../practice/practice-state.ts';
import { view } from '../view.ts';

export const practiceConditions = SHUTTER_CONDITIONS;
export const practiceMarks = PRACTICE_MARKS.map((mark) => mark.label);

let bench: (() => PracticeBench | null) | null = null;

/** Holds the controls of the practice shutter for as long as its board is connected. */
export function takePractice(controls: (() => PracticeBench | null) | null): void {
  bench = controls;
  if (!controls) view.setState({ practice: null });
}

export function showPractice(state: PracticeState): void {
  view.setState({ practice: state });
}

export const pressRelease = (): void => bench?.()?.fire();
export const turnGovernor = (quarterTurns: number): void => bench?.()?.turnGovernor(quarterTurns);
export const freeBlades = (): void => bench?.()?.freeBlades();
export const setPracticeDial = (mark: string): void => bench?.()?.setDial(mark);
/** Turns the practice shutter's own dial by so many marks, stopping at its ends. */
export function stepPracticeDial(places: number): void {
  const at = practiceMarks.indexOf(view.getState().practice?.dial ?? '');
  const mark = practiceMarks[Math.min(practiceMarks.length - 1, Math.max(0, at + places))];
  if (mark !== undefined) setPracticeDial(mark);
}
export const setPracticeCondition = (condition: ShutterCondition): void => bench?.()?.setCondition(condition);

/** Lamps to try the light check on. */
export const practiceLamps: readonly { readonly name: string; readonly levels: LightLevels }[] = [
  { name: 'steady LED', levels: PRACTICE_LIGHT },
  { name: 'mains lamp, 100 Hz', levels: { ...PRACTICE_LIGHT, flicker: { hertz: 100, amplitude: 0.06 } } },
  { name: 'mains lamp, 120 Hz', levels: { ...PRACTICE_LIGHT, flicker: { hertz: 120, amplitude: 0.06 } } },
  { name: 'lamp warming up', levels: { ...PRACTICE_LIGHT, driftPerMinute: 0.05 } },
  { name: 'too far away', levels: { ...PRACTICE_LIGHT, open: 30 } },
  { name: 'too bright', levels: { ...PRACTICE_LIGHT, open: 300 } },
];
export const setPracticeLight = (levels: LightLevels): void => bench?.()?.setLight(levels);
export const setPracticeIris = (stopsDown: number): void => bench?.()?.setIris(stopsDown);
export const setPracticeSeenShare = (share: number): void => bench?.()?.setSeenShare(share);
/** Longest that the practice shutter is held open by hand, in seconds. */
const HELD_SECONDS = 60;
export const holdPracticeOpen = (): void => bench?.()?.holdOpen(HELD_SECONDS);
export const letPracticeGo = (): void => bench?.()?.letGo();

export const practiceSyncSettings = SYNC_SETTINGS;
export const practiceLeads = LEAD_STATES;
export const setPracticeSync = (setting: PracticeSync): void => bench?.()?.setSync(setting);
export const setPracticeLead = (state: LeadState): void => bench?.()?.setLead(state);
/** How long a touch of the contact by hand lasts, in seconds. */
const TOUCH_SECONDS = 3;
export const touchPracticeContact = (): void => bench?.()?.touchContact(TOUCH_SECONDS);
export const startPracticeSelfTimer = (): void => bench?.()?.startSelfTimer();
