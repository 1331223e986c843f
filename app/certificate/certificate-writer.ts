import type { CertificateContent } from './certificate.ts';
import type { WritingProgress } from './pdf.ts';
import type { CertificateAnswer, CertificateTask } from './worker-messages.ts';

export interface WrittenCertificate {
  readonly pdf: Blob;
  /** Characters printed as an open square because the fonts lack them or they run from right to left. */
  readonly unprintable: readonly string[];
}

/**
 * Writes the certificate in a worker that is started for it and ended with it.
 *
 * @throws Error with a sentence for the user, also when the worker itself can't be loaded.
 */
export async function writeCertificate(
  content: CertificateContent,
  onProgress: WritingProgress = () => {},
): Promise<WrittenCertificate> {
  const answer = await runTask({ task: 'write', content }, onProgress);
  if (answer.kind !== 'written') throw new Error('The certificate could not be written.');
  return { pdf: new Blob([answer.pdf], { type: 'application/pdf' }), unprintable: answer.unprintable };
}

/** The characters that could not be printed, to be shown before anything is written. Throws as above. */
export async function unprintableCharacters(content: CertificateContent): Promise<readonly string[]> {
  const answer = await runTask({ task: 'check characters', content }, () => {});
  return answer.kind === 'characters' ? answer.unprintable : [];
}

/** The first answer that is no progress report. */
function runTask(task: CertificateTask, onProgress: WritingProgress): Promise<CertificateAnswer> {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  return new Promise<CertificateAnswer>((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<CertificateAnswer>) => {
      if (data.kind === 'progress') onProgress(data.stage, data.fraction);
      else if (data.kind === 'failed') reject(new Error(data.reason));
      else resolve(data);
    };
    worker.onerror = () => {
      reject(
        new Error(
          'The part of the page that writes certificates could not be loaded. Reload the page and try again; nothing is lost.',
        ),
      );
    };
    worker.postMessage(task);
  }).finally(() => worker.terminate());
}
