/** Writes the PDF away from the page, which goes on reading the board meanwhile. */

import regularUrl from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?url';
import boldUrl from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?url';
import type { Picture } from '../record/job.ts';
import { readableLogo, readablePictures } from './logo-check.ts';
import type { PaperContent } from './paper-content.ts';
import { paperPdf, unprintable } from './pdf.ts';
import type { CertificateFonts } from './pdf-document.ts';
import type { LeftOut, PaperAnswer, PaperTask } from './worker-messages.ts';

const answer = (message: PaperAnswer, transfer: Transferable[] = []) =>
  self.postMessage(message, { transfer });

self.onmessage = async ({ data }: MessageEvent<PaperTask>) => {
  try {
    answer({ kind: 'progress', stage: 'loading fonts', fraction: 0 });
    const fonts = await loadFonts();
    const { logo, pictures = [] } = data.enclosed;
    const leftOut: LeftOut = {
      unprintable: unprintable(data.content, fonts),
      logo: logo !== null && !(await readableLogo(logo)),
      pictures: await missingPictures(data.content, pictures),
    };
    if (data.task === 'look beforehand') {
      answer({ kind: 'looked', leftOut });
      return;
    }
    const pdf = await paperPdf(data.content, fonts, data.enclosed, (stage, fraction) =>
      answer({ kind: 'progress', stage, fraction }),
    );
    answer({ kind: 'written', pdf, leftOut }, [pdf.buffer]);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    answer({ kind: 'failed', reason: `The paper could not be written: ${reason}` });
  }
};

/** Pictures that the paper names and that can't be drawn, those that were not given among them. */
async function missingPictures(content: PaperContent, given: readonly Picture[]): Promise<number> {
  if (content.kind !== 'job sheet') return 0;
  const readable = await readablePictures(given);
  return content.pictures.filter(({ id }) => !readable.has(id)).length;
}

async function loadFonts(): Promise<CertificateFonts> {
  const [regular, bold] = await Promise.all([loadFont(regularUrl), loadFont(boldUrl)]);
  return { regular, bold };
}

async function loadFont(url: string): Promise<ArrayBuffer> {
  const response = await fetch(url).catch(() => null);
  if (!response?.ok) {
    throw new Error('a font could not be loaded. Is the page still being served, or kept for offline use?');
  }
  return response.arrayBuffer();
}
