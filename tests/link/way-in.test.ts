import { describe, expect, it } from 'vitest';
import { type Surroundings, wayIn } from '../../app/link/way-in.ts';

const policy = (known: readonly string[], allowed: readonly string[]) => ({
  features: () => known,
  allowsFeature: (feature: string) => allowed.includes(feature),
});

function around(
  navigator: Surroundings['navigator'],
  document: Surroundings['document'] = {},
  isSecureContext = true,
): Surroundings {
  return { isSecureContext, navigator, document };
}

describe('the way to a board', () => {
  it('is Web Serial wherever there is any', () => {
    expect(wayIn(around({ serial: {}, usb: {} }))).toEqual({ by: 'serial' });
    expect(wayIn(around({ serial: {} }))).toEqual({ by: 'serial' });
  });

  it('is WebUSB where Web Serial is missing', () => {
    expect(wayIn(around({ usb: {} }))).toEqual({ by: 'usb' });
  });

  it('is none without either, and says whether the page itself is to blame', () => {
    expect(wayIn(around({}))).toEqual({ by: null, since: 'missing' });
    expect(wayIn(around({}, {}, false))).toEqual({ by: null, since: 'not secure' });
  });

  it.each(['featurePolicy', 'permissionsPolicy'] as const)('minds what %s keeps from the page', (name) => {
    const all = ['serial', 'usb'];
    const both = { serial: {}, usb: {} };
    expect(wayIn(around(both, { [name]: policy(all, all) }))).toEqual({ by: 'serial' });
    expect(wayIn(around(both, { [name]: policy(all, ['usb']) }))).toEqual({ by: 'usb' });
    expect(wayIn(around(both, { [name]: policy(all, []) }))).toEqual({
      by: null,
      since: 'kept from the page',
    });
  });

  it('takes no word on what the policy does not know', () => {
    expect(wayIn(around({ serial: {} }, { featurePolicy: policy(['camera'], []) }))).toEqual({
      by: 'serial',
    });
    expect(wayIn(around({ serial: {} }, { featurePolicy: { allowsFeature: () => false } }))).toEqual({
      by: 'serial',
    });
  });
});
