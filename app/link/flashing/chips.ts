import { FlashError } from './firmware-report.ts';

/**
 * Chips the firmware runs on as it is built for the ATmega328P, by signature (data sheets, "Signature Bytes"). The
 * ATmega328 differs in its sleep modes alone. The ATmega328PB has further parts at addresses of their own and further
 * interrupts behind the same first 26; the registers, vectors, pages and boot sections that the firmware uses are
 * where they are in the ATmega328P (Atmel AT15007, differences between the two; from memory).
 */
const CHIPS: Readonly<Record<string, string>> = {
  '1E 95 0F': 'ATmega328P',
  '1E 95 14': 'ATmega328',
  '1E 95 16': 'ATmega328PB',
};

/** `signature`: three bytes. @throws FlashError 'other chip' */
export function chipOf(signature: Uint8Array): string {
  const text = signatureText(signature);
  const chip = CHIPS[text];
  if (chip !== undefined) return chip;
  throw new FlashError(
    'other chip',
    `This board has another chip (its signature is ${text}). The firmware is for the ${Object.values(CHIPS).join(', ')}: ` +
      'use a board of the Uno or Nano kind with one of these. Nothing was written.',
  );
}

export const isKnownChip = (signature: Uint8Array) => Object.hasOwn(CHIPS, signatureText(signature));

const signatureText = (signature: Uint8Array) =>
  [...signature].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
