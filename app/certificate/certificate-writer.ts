import type { PaperContent } from './paper-content.ts';
import type { Enclosures, WritingProgress } from './pdf-document.ts';
import type { LeftOut, PaperAnswer, PaperTask } from './worker-messages.ts';

export interface WrittenPaper {
  readonly pdf: Blob;
  readonly leftOut: LeftOut;
}

/**
 * Writes a paper in a worker that is started for it and ended with it.
 *
 * @throws Error with a sentence for the user, also when the worker itself can't be loaded.
 */
export async function writePaper(
  content: PaperContent,
  enclosed: Enclosures,
  onProgress: WritingProgress = () => {},
): Promise<WrittenPaper> {
  const answer = await runTask({ task: 'write', content, enclosed }, onProgress);
  if (answer.kind !== 'written') throw new Error('The paper could not be written.');
  return { pdf: new Blob([answer.pdf], { type: 'application/pdf' }), leftOut: answer.leftOut };
}

/** What could not be printed, to be shown before anything is written. Throws as above. */
export async function leftOutOf(content: PaperContent, enclosed: Enclosures): Promise<LeftOut> {
  const answer = await runTask({ task: 'look beforehand', content, enclosed }, () => {});
  if (answer.kind !== 'looked') throw new Error('The paper could not be looked at.');
  return answer.leftOut;
}

/** The first answer that is no progress report. */
function runTask(task: PaperTask, onProgress: WritingProgress): Promise<PaperAnswer> {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  return new Promise<PaperAnswer>((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<PaperAnswer>) => {
      if (data.kind === 'progress') onProgress(data.stage, data.fraction);
      else if (data.kind === 'failed') reject(new Error(data.reason));
      else resolve(data);
    };
    worker.onerror = () => {
      reject(
        new Error(
          'The part of the page that writes papers could not be loaded. Reload the page and try again; nothing is lost.',
        ),
      );
    };
    worker.postMessage(task);
  }).finally(() => worker.terminate());
}
