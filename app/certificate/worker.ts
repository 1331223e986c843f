/** Writes the PDF away from the page, which goes on reading the board meanwhile. */

import regularUrl from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?url';
import boldUrl from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?url';
import { type CertificateFonts, certificatePdf, unprintable } from './pdf.ts';
import type { CertificateAnswer, CertificateTask } from './worker-messages.ts';

const answer = (message: CertificateAnswer, transfer: Transferable[] = []) =>
  self.postMessage(message, { transfer });

self.onmessage = async ({ data }: MessageEvent<CertificateTask>) => {
  try {
    answer({ kind: 'progress', stage: 'loading fonts', fraction: 0 });
    const fonts = await loadFonts();
    const missing = unprintable(data.content, fonts);
    if (data.task === 'check characters') {
      answer({ kind: 'characters', unprintable: missing });
      return;
    }
    const pdf = await certificatePdf(data.content, fonts, (stage, fraction) =>
      answer({ kind: 'progress', stage, fraction }),
    );
    answer({ kind: 'written', pdf, unprintable: missing }, [pdf.buffer]);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    answer({ kind: 'failed', reason: `The certificate could not be written: ${reason}` });
  }
};

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
