import { defineConfig, type Plugin } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';
import { pagePolicy } from './headers.ts';

const here = (path: string) => new URL(path, import.meta.url).pathname;

/** Puts the policy at the head of index.html, before anything that it rules over. */
const policyInPage = (): Plugin => ({
  name: 'leafclock-policy-in-page',
  transformIndexHtml: () => [
    {
      tag: 'meta',
      attrs: { 'http-equiv': 'Content-Security-Policy', content: pagePolicy },
      injectTo: 'head-prepend',
    },
  ],
});

/**
 * The service worker, written by Workbox: it keeps every file of the page on this computer, so that all of it works
 * without a network after the first load. screens/actions/page-update.ts registers it and says when a newer one may
 * take its place.
 */
const keptOnThisComputer = () =>
  VitePWA({
    registerType: 'prompt',
    injectRegister: false,
    manifestFilename: 'manifest.webmanifest',
    manifest: {
      name: 'Leafclock',
      short_name: 'Leafclock',
      description: 'Clocks the speeds of mechanical camera shutters with a photodiode on a hobby board',
      lang: 'en',
      // Relative to the manifest: the page may be served from any folder.
      start_url: './',
      scope: './',
      display: 'standalone',
      background_color: '#14140f',
      theme_color: '#14140f',
      icons: [
        { src: 'icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
        { src: 'icon-192.png', sizes: '192x192', type: 'image/png', purpose: 'any' },
        { src: 'icon-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
        { src: 'icon-whole-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
      ],
    },
    workbox: {
      globPatterns: ['**/*'],
      // The firmware and the fonts are the largest files, below 1 MB; one too large would fail the build.
      maximumFileSizeToCacheInBytes: 8e6,
      // The page has one address; its screens are behind the #.
      navigateFallback: null,
      // The first load is already served by it: what is loaded later comes from the same build.
      clientsClaim: true,
      inlineWorkboxRuntime: true,
      sourcemap: false,
    },
  });

export default defineConfig({
  root: here('.'),
  base: './',
  publicDir: here('./icons'),
  plugins: [policyInPage(), keptOnThisComputer()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  worker: { format: 'es' },
  build: {
    outDir: here('../build/page'),
    emptyOutDir: true,
    target: 'es2023',
    // The strict Content-Security-Policy of headers.ts knows no data: or inline sources.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
