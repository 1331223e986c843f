import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Runs `use` with the PDF as a file in a directory of its own, which is gone afterwards. */
function withFile<Result>(pdf: Uint8Array, use: (path: string) => Result): Result {
  const directory = mkdtempSync(join(tmpdir(), 'leafclock-certificate-'));
  try {
    const path = join(directory, 'certificate.pdf');
    writeFileSync(path, pdf);
    return use(path);
  } finally {
    rmSync(directory, { recursive: true });
  }
}

const run = (command: string, ...args: string[]) => execFileSync(command, args, { encoding: 'utf8' });

/** Text of each page, laid out as printed. */
export const pageTexts = (pdf: Uint8Array): readonly string[] =>
  withFile(pdf, (path) => run('pdftotext', '-layout', path, '-').split('\f').slice(0, -1));

/** Text in the order of writing, every run of white space as one space. */
export const flowingText = (pdf: Uint8Array): string =>
  withFile(pdf, (path) => run('pdftotext', '-raw', path, '-').replace(/\s+/g, ' '));

/** The structure a screen reader is given, with its text. */
export const structureText = (pdf: Uint8Array): string =>
  withFile(pdf, (path) => run('pdfinfo', '-struct-text', path));

/** Words of each page that reach below `fromFoot` points above its lower edge. */
export const wordsAtFoot = (pdf: Uint8Array, fromFoot: number): readonly string[] =>
  withFile(pdf, (path) =>
    run('pdftotext', '-bbox', path, '-')
      .split('<page ')
      .slice(1)
      .map((page) => {
        const height = Number(/height="([\d.]+)"/.exec(page)![1]);
        return [...page.matchAll(/yMax="([\d.]+)">([^<]*)</g)]
          .filter(([, yMax]) => Number(yMax) > height - fromFoot)
          .map(([, , word]) => word)
          .join(' ');
      }),
  );

export const documentInfo = (pdf: Uint8Array): string => withFile(pdf, (path) => run('pdfinfo', path));

export const fontList = (pdf: Uint8Array): string => withFile(pdf, (path) => run('pdffonts', path));

/** Exit status of `qpdf --check` (0: sound) and what it said. */
export const soundness = (pdf: Uint8Array): { readonly status: number | null; readonly said: string } =>
  withFile(pdf, (path) => {
    const { status, stdout, stderr } = spawnSync('qpdf', ['--check', path], { encoding: 'utf8' });
    return { status, said: stdout + stderr };
  });

/** Width and height of each image drawn, in points as they stand on the page. */
export const drawnImages = (
  pdf: Uint8Array,
): readonly { readonly width: number; readonly height: number }[] =>
  withFile(pdf, (path) =>
    run('pdfimages', '-list', path)
      .split('\n')
      .slice(2)
      .flatMap((line) => {
        const [, , type, width, height, , , , , , , , x, y] = line.trim().split(/\s+/);
        return type === 'image'
          ? [{ width: (72 * Number(width)) / Number(x), height: (72 * Number(height)) / Number(y) }]
          : [];
      }),
  );

/** The files attached to a PDF, by name. */
export const attachedFiles = (pdf: Uint8Array): ReadonlyMap<string, Uint8Array> =>
  withFile(pdf, (path) => {
    const names = run('pdfdetach', '-list', path)
      .split('\n')
      .flatMap((line) => /^\d+: (.*)$/.exec(line)?.[1] ?? []);
    return new Map(
      names.map((name, index) => {
        const saved = `${path}.${index}`;
        run('pdfdetach', '-save', String(index + 1), '-o', saved, path);
        return [name, new Uint8Array(readFileSync(saved))];
      }),
    );
  });

/** Words of each page with the box that each stands in, in points from the upper left corner. */
export const wordBoxes = (
  pdf: Uint8Array,
): readonly (readonly { readonly word: string; readonly left: number; readonly right: number }[])[] =>
  withFile(pdf, (path) =>
    run('pdftotext', '-bbox', path, '-')
      .split('<page ')
      .slice(1)
      .map((page) =>
        [...page.matchAll(/xMin="([\d.]+)".*xMax="([\d.]+)".*>([^<]*)<\/word/g)].map(
          ([, left, right, word]) => ({ word: word!, left: Number(left), right: Number(right) }),
        ),
      ),
  );

/** Words that stand for the figures, in their order. */
export const figureWords = (pdf: Uint8Array): readonly string[] =>
  withFile(pdf, (path) => {
    const plain = execFileSync('qpdf', ['--qdf', '--object-streams=disable', path, '-'], {
      encoding: 'latin1',
      maxBuffer: 1 << 26,
    });
    return [...plain.matchAll(/\/Alt (?:\(([^)]*)\)|<feff([0-9a-f]*)>)/g)].map(
      ([, ascii, utf16]) =>
        ascii ?? String.fromCharCode(...utf16!.match(/.{4}/g)!.map((code) => Number.parseInt(code, 16))),
    );
  });
