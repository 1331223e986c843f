/** The page as it is delivered, built once for a whole run and beside the build of the tests. */
import path from 'node:path';
import { build } from 'vite';

const ROOT = path.join(import.meta.dirname, '../..');
let built: Promise<string> | null = null;

/** Its folder, below build/. */
export function builtPage(name = 'bench-page'): Promise<string> {
  const folder = path.join(ROOT, 'build', name);
  built ??= build({
    configFile: path.join(ROOT, 'app/vite.config.ts'),
    logLevel: 'error', // what it says would stand on stdout, among the figures
    build: { outDir: folder },
  }).then(() => folder);
  return built;
}
