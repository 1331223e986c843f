/** Hands a file to the user as a download. The browser shows where it went. */
export function saveFile(name: string, file: Blob): void {
  const url = URL.createObjectURL(file);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The download has taken its own reference by then.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A part of a file name: letters and digits of any script, the rest as hyphens. */
export const plainName = (text: string): string =>
  text
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60);
