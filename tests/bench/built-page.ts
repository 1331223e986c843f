/** The page as it is delivered, built once for the whole bench and beside the build of the tests. */
import path from 'node:path';
import { build } from 'vite';

const ROOT = path.join(import.meta.dirname, '../..');
const FOLDER = path.join(ROOT, 'build/bench-page');
let built: Promise<string> | null = null;

/** Its folder. */
export function builtPage(): Promise<string> {
  built ??= build({
    configFile: path.join(ROOT, 'app/vite.config.ts'),
    logLevel: 'error', // what it says would stand on stdout, among the figures
    build: { outDir: FOLDER },
  }).then(() => FOLDER);
  return built;
}
