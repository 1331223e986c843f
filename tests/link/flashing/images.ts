/** Intel HEX text of these bytes, from address 0 on, 16 a line. */
export function hexText(bytes: Uint8Array): string {
  const lines: string[] = [];
  for (let at = 0; at < bytes.length; at += 16) lines.push(record(at, 0, bytes.subarray(at, at + 16)));
  return [...lines, record(0, 1, new Uint8Array(0)), ''].join('\n');
}

function record(address: number, type: number, data: Uint8Array): string {
  const bytes = [data.length, address >> 8, address & 0xff, type, ...data];
  bytes.push(-bytes.reduce((sum, byte) => sum + byte, 0) & 0xff);
  return `:${bytes.map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('')}`;
}

/** So many bytes that all look different, none of a page like another's. */
export function patternImage(length: number, salt = 1): Uint8Array {
  return Uint8Array.from({ length }, (_, i) => ((i * 97) ^ ((i >> 7) * 31) ^ (salt * 73)) & 0xff);
}
