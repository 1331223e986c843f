/** `npm start`: builds the page and serves it on this machine. PORT chooses another port. */
import { build, preview } from 'vite';
import { pageHeaders } from './headers.ts';

const DEFAULT_PORT = 8516;

function wantedPort(text: string | undefined): number {
  if (text === undefined || text === '') return DEFAULT_PORT;
  const port = Number(text);
  if (Number.isInteger(port) && port >= 1 && port <= 65535) return port;
  throw new Error(`PORT is '${text}', which is no port number. Use a whole number from 1 to 65535.`);
}

try {
  const port = wantedPort(process.env.PORT);
  const configFile = new URL('./vite.config.ts', import.meta.url).pathname;
  await build({ configFile, logLevel: 'warn' });
  await preview({
    configFile,
    logLevel: 'warn',
    preview: { port, strictPort: true, host: 'localhost', headers: { ...pageHeaders } },
  });
  console.log(`Leafclock is ready: http://localhost:${port}  (stop with Ctrl+C)`);
} catch (error) {
  const text = error instanceof Error ? error.message : String(error);
  const inUse = /already in use/i.test(text);
  console.error(
    inUse
      ? `${text}. Another program uses it, perhaps Leafclock in another window. ` +
          'Close that, or choose another port: PORT=8517 npm start'
      : `Leafclock could not start: ${text}`,
  );
  process.exitCode = 1;
}
