/**
 * With Trusted Types in force (headers.ts) a browser asks this policy about every text that would become a script or
 * markup. Addresses of the page's own workers pass; there is no way through for anything else.
 */
interface TrustedTypes {
  createPolicy(name: 'default', rules: { createScriptURL: (address: string) => string }): unknown;
}

/** To be called once, before the first worker. */
export function allowOwnScripts(): void {
  const { trustedTypes } = globalThis as { trustedTypes?: TrustedTypes };
  trustedTypes?.createPolicy('default', {
    createScriptURL: (address) => {
      if (new URL(address, document.baseURI).origin === location.origin) return address;
      throw new TypeError(`${address} is no script of this page.`);
    },
  });
}
