/** Which part of the settings is on show: kept while other screens are looked at, and set from there. */
export type SettingsPart = 'workshop' | 'new-jobs' | 'lists' | 'sound' | 'boards' | 'data';

let shown: SettingsPart = 'workshop';
let tell: ((part: SettingsPart) => void) | null = null;

export const settingsPart = (): SettingsPart => shown;

/** Tells when another part is to be shown. Returns how to stop listening. */
export function onSettingsPart(listener: (part: SettingsPart) => void): () => void {
  tell = listener;
  return () => {
    if (tell === listener) tell = null;
  };
}

/** Shows a part of the settings, from wherever the user is. */
export function showSettingsPart(part: SettingsPart): void {
  shown = part;
  tell?.(part);
  location.hash = 'settings';
}
