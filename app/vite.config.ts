import { defineConfig } from 'vite';

const here = (path: string) => new URL(path, import.meta.url).pathname;

export default defineConfig({
  root: here('.'),
  base: './',
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
