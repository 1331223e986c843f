import { readFileSync } from 'node:fs';
import type { CertificateFonts } from '../../app/certificate/pdf-document.ts';

function font(name: string): ArrayBuffer {
  const path = new URL(`../../node_modules/dejavu-fonts-ttf/ttf/${name}.ttf`, import.meta.url);
  return new Uint8Array(readFileSync(path)).buffer;
}

/** The fonts that the worker loads. */
export const FONTS: CertificateFonts = {
  regular: font('DejaVuSansCondensed'),
  bold: font('DejaVuSansCondensed-Bold'),
};
