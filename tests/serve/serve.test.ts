import { spawnSync } from 'node:child_process';
import { createServer } from 'node:net';
import path from 'node:path';
import { describe, expect, it } from 'vitest';

const serve = (port: string) =>
  spawnSync(process.execPath, ['--import', 'tsx', path.join(import.meta.dirname, '../../app/serve.ts')], {
    env: { ...process.env, PORT: port },
    encoding: 'utf8',
  });

describe('npm start', () => {
  it('says clearly that a port is in use, and ends with 1', async () => {
    const server = createServer();
    const port = await new Promise<number>((resolve) => {
      server.listen(0, 'localhost', () => resolve((server.address() as { port: number }).port));
    });
    const { status, stderr } = serve(String(port));
    server.close();
    expect(status).toBe(1);
    expect(stderr).toContain('the port is in use');
    expect(stderr).toContain('PORT=8517 npm start');
  });

  it('refuses a PORT that is no port number', () => {
    for (const port of ['eight', '0', '70000', '80.5']) {
      const { status, stderr } = serve(port);
      expect(status).toBe(1);
      expect(stderr).toContain(`PORT is '${port}', which is no port number`);
    }
  });
});
