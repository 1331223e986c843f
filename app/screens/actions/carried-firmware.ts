/** The firmware image, fetched when it is first wanted. */
import { CARRIED_VERSION, imageCheck } from '../../link/flashing/carried-firmware.ts';

export interface CarriedFirmware {
  /** Intel HEX text. */
  readonly image: string;
  readonly version: string;
  /** As in Hello.image. */
  readonly check: number;
}

/** @throws Error when it can't be fetched. */
export async function loadCarried(): Promise<CarriedFirmware> {
  const { default: image } = await import('../../../firmware-protocol/atmega328p/tester.hex?raw');
  return { image, version: CARRIED_VERSION, check: imageCheck(image) };
}
