export const fromHex = (hex: string) => new Uint8Array(Buffer.from(hex, 'hex'));
export const toHex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');
