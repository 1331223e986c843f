/** Whether two pieces of data hold the same, byte for byte, in whatever order the fields of their objects stand. */
export function sameContent(one: unknown, other: unknown): boolean {
  if (one === other) return true;
  if (typeof one !== 'object' || typeof other !== 'object' || one === null || other === null) return false;
  if (one instanceof Uint8Array || other instanceof Uint8Array) return sameBytes(one, other);
  if (Array.isArray(one) !== Array.isArray(other)) return false;
  const fields = Object.entries(one);
  return (
    fields.length === Object.keys(other).length &&
    fields.every(([key, value]) => Object.hasOwn(other, key) && sameContent(value, Reflect.get(other, key)))
  );
}

function sameBytes(one: object, other: object): boolean {
  return (
    one instanceof Uint8Array &&
    other instanceof Uint8Array &&
    one.length === other.length &&
    one.every((byte, index) => byte === other[index])
  );
}
