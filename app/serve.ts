/** `npm start`: builds the page and serves it on this machine. PORT chooses another port. */
import { createServer } from 'node:net';
import { onThisMachine, withPageHeaders } from './serving.ts';

const DEFAULT_PORT = 8516;

function wantedPort(text: string | undefined): number {
  if (text === undefined || text === '') return DEFAULT_PORT;
  const port = Number(text);
  if (Number.isInteger(port) && port >= 1 && port <= 65535) return port;
  throw new Error(`PORT is '${text}', which is no port number. Use a whole number from 1 to 65535.`);
}

/** Asked before the build, so that nobody waits for a page that can't be served. Rejects as listen() does. */
function askForPort(port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(port, 'localhost', () => server.close(() => resolve()));
  });
}

try {
  const port = wantedPort(process.env.PORT);
  await askForPort(port);
  // Loaded only now: a wrong port should be told at once.
  const { build, preview } = await import('vite');
  const configFile = new URL('./vite.config.ts', import.meta.url).pathname;
  await build({ configFile, logLevel: 'warn' });
  await preview({
    configFile,
    logLevel: 'warn',
    plugins: [withPageHeaders()],
    preview: onThisMachine(port),
  });
  console.log(`Leafclock is ready: http://localhost:${port}  (stop with Ctrl+C)`);
} catch (error) {
  const { code, message } = error as NodeJS.ErrnoException;
  console.error(
    code === 'EADDRINUSE'
      ? 'Leafclock could not start: the port is in use, perhaps by Leafclock in another window. ' +
          'Close that, or choose another port: PORT=8517 npm start'
      : code === 'EACCES'
        ? 'Leafclock could not start: this port needs rights you do not have. Use one from 1024 up: PORT=8517 npm start'
        : `Leafclock could not start: ${message}`,
  );
  process.exitCode = 1;
}
