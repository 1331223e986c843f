/**
 * Boards whose USB chip keeps to the class for communication devices (USB CDC 1.2): the only ones that a page can
 * reach without Web Serial. Chips with a protocol of their own (CH340, FTDI, CP210x) don't show these classes.
 */

/** Class codes of the two interfaces of a serial line (USB CDC 1.2, sections 4.2 and 4.5). */
const CONTROL_CLASS = 2;
const DATA_CLASS = 10;

/** What the browser's chooser lists. */
export const CDC_FILTERS = [{ classCode: CONTROL_CLASS }] as const;

export interface CdcEndpoints {
  readonly in: USBEndpoint;
  readonly out: USBEndpoint;
}

/** The endpoints that carry the line's bytes; null when the device has no serial line of this class. */
export function cdcEndpoints({ configurations }: USBDevice): CdcEndpoints | null {
  const alternates = configurations[0]?.interfaces.flatMap(({ alternates: [first] }) => first ?? []) ?? [];
  const data = alternates.find(({ interfaceClass }) => interfaceClass === DATA_CLASS);
  const fromBoard = data?.endpoints.find(({ direction }) => direction === 'in');
  const toBoard = data?.endpoints.find(({ direction }) => direction === 'out');
  const hasControl = alternates.some(({ interfaceClass }) => interfaceClass === CONTROL_CLASS);
  return hasControl && fromBoard && toBoard ? { in: fromBoard, out: toBoard } : null;
}
