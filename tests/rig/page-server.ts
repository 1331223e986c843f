import fs from 'node:fs';
import path from 'node:path';
import { preview } from 'vite';
import { onThisMachine, withPageHeaders } from '../../app/serving.ts';

export interface PageServer {
  /** 'http://localhost:12345'. Localhost counts as secure, which Web Serial asks for. */
  readonly origin: string;
  close(): Promise<void>;
}

/** Serves a folder on this machine with the headers that the product is served with; port 0 is any free one. */
export async function serveFolder(folder: string, port = 0): Promise<PageServer> {
  if (!fs.existsSync(path.join(folder, 'index.html'))) {
    throw new Error(
      `${folder} has no index.html; build the page first: npx vite build -c app/vite.config.ts`,
    );
  }
  const server = await preview({
    configFile: false,
    root: path.dirname(folder),
    appType: 'mpa', // a file that isn't there is an error, not the start page
    logLevel: 'warn',
    build: { outDir: path.basename(folder) },
    plugins: [withPageHeaders()],
    preview: onThisMachine(port),
  });
  const address = server.httpServer.address();
  if (address === null || typeof address === 'string') throw new Error('The page server has no port');
  return { origin: `http://localhost:${address.port}`, close: () => server.close() };
}
