import type { Plugin, PreviewOptions } from 'vite';
import { cacheControl, pageHeaders } from './headers.ts';

/** The built page's headers on every answer of Vite's server, errors included. */
export function withPageHeaders(): Plugin {
  return {
    name: 'leafclock-page-headers',
    configurePreviewServer({ middlewares }) {
      middlewares.use((request, response, next) => {
        for (const [name, value] of Object.entries(pageHeaders)) response.setHeader(name, value);
        response.setHeader('Cache-Control', cacheControl(request.url ?? ''));
        next();
      });
    },
  };
}

/** For this machine alone; Vite's leave for pages of other ports to read along is taken back. */
export const onThisMachine = (port: number): PreviewOptions => ({
  port,
  strictPort: true,
  host: 'localhost',
  cors: false,
});
