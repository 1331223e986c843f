/**
 * What is looked at on a camera besides its speeds, by type of camera: a start that the workshop changes as
 * it likes. Common practice, no source.
 */
import type { MechanicalCheck } from '../judge/camera-checks.ts';
import type { CheckList } from './preferences.ts';

const COCKED_BY_FILM_ADVANCE = 'Cocking through the film-advance stroke';
const COCKED_BY_LEVER = 'Cocking lever';
const BLOCKED = 'Release blocked when not cocked';
const DOUBLE_EXPOSURE = 'Double-exposure prevention';
const FILM_TRANSPORT = 'Film transport and frame counter';
const SPEED_RING = 'Click stops of the speed ring';
const APERTURE = ['Aperture ring', 'Aperture blades'];
const SHUTTER_BLADES = 'Shutter blades';
const TIMED_BY_HAND = 'B and T';
const SELF_TIMER = 'Self-timer';
const FLASH_CONTACT = 'Flash contact';
const LENS = 'Lens seating and play';
const FOCUS = 'Focus';
const BODY = ['Back catch', 'Light seals', 'Covering'];

export const MECHANICAL_LISTS: readonly CheckList[] = [
  {
    id: 'folding',
    name: 'Folding or viewfinder camera, leaf shutter',
    items: [
      COCKED_BY_FILM_ADVANCE,
      BLOCKED,
      DOUBLE_EXPOSURE,
      FILM_TRANSPORT,
      SPEED_RING,
      ...APERTURE,
      SHUTTER_BLADES,
      TIMED_BY_HAND,
      SELF_TIMER,
      FLASH_CONTACT,
      LENS,
      FOCUS,
      'Rangefinder and viewfinder',
      'Bellows, struts and front standard',
      ...BODY,
    ],
  },
  {
    id: 'twin-lens',
    name: 'Twin-lens reflex, leaf shutter',
    items: [
      COCKED_BY_FILM_ADVANCE,
      BLOCKED,
      DOUBLE_EXPOSURE,
      FILM_TRANSPORT,
      'Click stops of the speed dial',
      ...APERTURE,
      SHUTTER_BLADES,
      TIMED_BY_HAND,
      SELF_TIMER,
      FLASH_CONTACT,
      LENS,
      'Focus: both lenses together, board parallel to the film',
      'Mirror, screen and finder hood',
      ...BODY,
    ],
  },
  {
    id: 'focal-plane reflex',
    name: 'Single-lens reflex, focal-plane shutter',
    items: [
      COCKED_BY_FILM_ADVANCE,
      BLOCKED,
      DOUBLE_EXPOSURE,
      FILM_TRANSPORT,
      'Click stops of the speed dial',
      ...APERTURE,
      'Automatic diaphragm and its lever',
      'Curtains or blades: holes, creases, edges parallel',
      TIMED_BY_HAND,
      SELF_TIMER,
      FLASH_CONTACT,
      'Mirror: rise, return and stop',
      'Mirror damper',
      'Lens mount, seating and play',
      'Focus: screen against film plane',
      ...BODY,
    ],
  },
  {
    id: 'focal-plane rangefinder',
    name: 'Rangefinder camera, focal-plane shutter',
    items: [
      COCKED_BY_FILM_ADVANCE,
      BLOCKED,
      DOUBLE_EXPOSURE,
      FILM_TRANSPORT,
      'Click stops of the speed dial',
      ...APERTURE,
      'Curtains: holes, creases, edges parallel',
      TIMED_BY_HAND,
      SELF_TIMER,
      FLASH_CONTACT,
      'Lens mount, seating and play',
      FOCUS,
      'Rangefinder: height and infinity',
      ...BODY,
    ],
  },
  {
    id: 'shutter alone',
    name: 'Leaf shutter by itself, or on a lens board',
    items: [
      COCKED_BY_LEVER,
      BLOCKED,
      'Release and cable thread',
      SPEED_RING,
      ...APERTURE,
      SHUTTER_BLADES,
      TIMED_BY_HAND,
      'Blade opener for focusing',
      SELF_TIMER,
      FLASH_CONTACT,
      LENS,
    ],
  },
];

/** The checks of a list, none of them made yet. Their ids are unique within the list. */
export function mechanicalChecks(list: CheckList): MechanicalCheck[] {
  return list.items.map((name, index) => ({
    id: `${list.id} ${index + 1}`,
    name,
    state: 'not tested',
    note: '',
  }));
}
