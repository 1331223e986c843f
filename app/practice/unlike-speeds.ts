/** A serial line whose ends run at unlike speeds: what the receiver makes of it. */

export interface HeardByte {
  readonly byte: number;
  /** Where the stop bit should have been, the line was low. */
  readonly framingError: boolean;
}

/** Start bit, 8 data bits, stop bit. */
const BITS_PER_FRAME = 10;

/**
 * What a receiver at `heardAt` baud makes of bytes sent one right after the other at `sentAt` baud, on a line that is
 * idle before and after. Each bit is looked at in its middle; a start bit that has ended by then was noise; after a
 * stop bit's middle the next falling edge begins a new byte (data sheet of the ATmega328P, "Asynchronous data
 * reception"; other receivers do alike). Where the middle falls on the border of two sent bits, the later one counts.
 */
export function heardBytes(bytes: Uint8Array, sentAt: number, heardAt: number): HeardByte[] {
  if (sentAt === heardAt) return [...bytes].map((byte) => ({ byte, framingError: false }));
  // In units of 1 / (2 × sentAt × heardAt) seconds both half bits are whole numbers, so borders are exact.
  const sentBit = 2 * heardAt;
  const heardBit = 2 * sentAt;
  const bits = BITS_PER_FRAME * bytes.length;
  /** Level of a sent bit, counted from the first start bit; the line is high before and after. */
  const isHigh = (bit: number): boolean => {
    if (bit < 0 || bit >= bits) return true;
    const place = bit % BITS_PER_FRAME;
    if (place === 0) return false;
    if (place === BITS_PER_FRAME - 1) return true;
    return ((bytes[Math.floor(bit / BITS_PER_FRAME)]! >> (place - 1)) & 1) === 1;
  };
  const isHighAt = (time: number): boolean => isHigh(Math.floor(time / sentBit));

  const heard: HeardByte[] = [];
  let bit = 0;
  while (bit < bits) {
    if (isHigh(bit) || !isHigh(bit - 1)) {
      bit++;
      continue;
    }
    const start = bit * sentBit;
    const middle = (place: number) => start + (place + 0.5) * heardBit;
    if (isHighAt(middle(0))) {
      bit++;
      continue;
    }
    let byte = 0;
    for (let place = 1; place <= 8; place++) if (isHighAt(middle(place))) byte |= 1 << (place - 1);
    heard.push({ byte, framingError: !isHighAt(middle(9)) });
    // An edge is seen after the stop bit's middle, so the level there is the one it starts from.
    bit = Math.floor(middle(9) / sentBit) + 1;
  }
  return heard;
}
