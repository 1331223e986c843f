/**
 * Headers the page is served with. Nothing leaves the machine: every source is the page's own origin.
 * hosting.md gives them to those who serve the page by other means; a test holds the two together.
 */

const ownSources = [
  "default-src 'none'",
  "script-src 'self'",
  "worker-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  // Text never becomes markup or a script (W3C Trusted Types): screens/actions/own-scripts.ts lets workers through.
  "require-trusted-types-for 'script'",
  'trusted-types default',
];

/** The policy as index.html carries it for servers that send no headers. There a browser ignores frame-ancestors. */
export const pagePolicy = ownSources.join('; ');

/** What the page uses; all else that a page could ask a browser for is refused, also to a script smuggled in. */
const used = [
  'autoplay', // tones
  'camera', // pictures for notes
  'cross-origin-isolated', // see COOP below
  'screen-wake-lock',
  'serial',
  'usb', // boards where Web Serial is missing
];

const unused = [
  'accelerometer',
  'browsing-topics',
  'display-capture',
  'encrypted-media',
  'fullscreen',
  'gamepad',
  'geolocation',
  'gyroscope',
  'hid',
  'idle-detection',
  'local-fonts',
  'magnetometer',
  'microphone',
  'midi',
  'payment',
  'picture-in-picture',
  'publickey-credentials-get',
  'sync-xhr',
  'window-management',
  'xr-spatial-tracking',
];

/** Sent with every answer. */
export const pageHeaders: Readonly<Record<string, string>> = {
  'Content-Security-Policy': [...ownSources, "frame-ancestors 'none'"].join('; '),
  'Permissions-Policy': [
    ...used.map((feature) => `${feature}=(self)`),
    ...unused.map((feature) => `${feature}=()`),
  ].join(', '),
  // COOP and COEP keep the browser's clock from being coarsened (HTML, cross-origin isolation).
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Content-Type-Options': 'nosniff',
  'X-Frame-Options': 'DENY',
  'Referrer-Policy': 'no-referrer',
};

/** Files in assets/ carry a hash of their content in their names; all others may change under the same name. */
const HASHED_FILES = '/assets/';

/** Cache-Control for a path of the page: an update would go unseen if index.html or sw.js came from a cache. */
export const cacheControl = (path: string): string =>
  path.includes(HASHED_FILES) ? 'public, max-age=31536000, immutable' : 'no-cache';
