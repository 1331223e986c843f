/**
 * How fast line and converter run. One goes with the other: a board that is spoken to at a speed samples at the
 * rate that this speed can carry (README.md, "Line and frames").
 */
export type LineRate = 'normal' | 'fast';

/** Baud; all exact at 16 MHz (data sheet of the ATmega328P, USART with U2X). */
export const BAUD_RATES: Readonly<Record<LineRate, number>> = { normal: 500_000, fast: 1_000_000 };
