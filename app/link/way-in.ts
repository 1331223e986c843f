/** Which way leads from this page to a board, found by looking for it: never by the browser's name. */

/** What is asked of the page's surroundings: of `window`, or of what a test makes up. */
export interface Surroundings {
  readonly isSecureContext: boolean;
  readonly navigator: { readonly serial?: unknown; readonly usb?: unknown };
  readonly document: Pick<Document, 'permissionsPolicy' | 'featurePolicy'>;
}

export type WayIn =
  | { readonly by: 'serial' }
  /** Only boards of the class CDC (usb-cdc.ts). */
  | { readonly by: 'usb' }
  | { readonly by: null; readonly since: 'not secure' | 'kept from the page' | 'missing' };

/** Web Serial where there is any: it reaches every board, and works with the system's driver. */
export function wayIn({ isSecureContext, navigator, document }: Surroundings): WayIn {
  const policy = document.permissionsPolicy ?? document.featurePolicy;
  const isKept = (feature: string) =>
    // A feature the policy doesn't know is not allowed by it either.
    policy?.features?.().includes(feature) === true && !policy.allowsFeature(feature);
  const here = (['serial', 'usb'] as const).filter((by) => navigator[by] !== undefined);
  const by = here.find((way) => !isKept(way));
  if (by) return { by };
  if (here.length > 0) return { by: null, since: 'kept from the page' };
  return { by: null, since: isSecureContext ? 'missing' : 'not secure' };
}
