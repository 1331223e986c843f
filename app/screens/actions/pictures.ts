/** Notes and pictures of the open job: how they come in, and how they are taken out again. */
import type { Job, JobNote, Picture } from '../../record/job.ts';
import { view } from '../view.ts';
import { awaitPicture, changeJob } from './jobs.ts';
import { changeKeptJob } from './jobs-list.ts';
import { say } from './notices.ts';
import { record } from './record.ts';

/** Longest side that is kept, in pixels: a screw's slot can still be told on a photograph of a whole shutter. */
const LONGEST = 1600;
const QUALITY = 0.85;
/** Beyond this a file is no photograph, and reading it could stop the page for long. */
const LARGEST_FILE = 60e6;

export function addNote(text: string): void {
  const note = newNote(text, null);
  changeJob((job) => withNote(job, note), 'note added');
}

export function changeNote(
  id: string,
  part: Partial<Pick<JobNote, 'text' | 'onJobSheet'>>,
  words: string,
): void {
  changeJob(
    (job) => ({ ...job, notes: job.notes.map((note) => (note.id === id ? { ...note, ...part } : note)) }),
    words,
  );
}

/** The picture itself stays kept as long as its note can be brought back. */
export function deleteNote({ id, picture }: JobNote): void {
  changeJob(
    (job) => ({ ...job, notes: job.notes.filter((note) => note.id !== id) }),
    picture === null ? 'note deleted' : 'picture deleted',
  );
}

/**
 * Scales pictures down and adds each with a note of its own, in the order in which they were taken as far as
 * that is known. What can't be added is told, and the others are added all the same. The files are only read.
 */
export async function addPictures(
  files: readonly File[],
  progress: (done: number, of: number) => void = () => {},
): Promise<void> {
  const { job } = view.getState();
  if (!job) return;
  const inOrder = files.toSorted((a, b) => a.lastModified - b.lastModified);
  for (const [index, file] of inOrder.entries()) {
    progress(index, inOrder.length);
    await addPicture(job.id, () => decoded(file));
  }
  progress(inOrder.length, inOrder.length);
}

/** Adds what the camera sees now. Resolves to whether that went well. */
export async function addShot(video: HTMLVideoElement): Promise<boolean> {
  const { job } = view.getState();
  return job !== null && addPicture(job.id, () => scaledDown(video));
}

/** The job the picture was meant for gets it, even if another one has been opened meanwhile. */
async function addPicture(
  jobId: string,
  drawn: () => OffscreenCanvas | Promise<OffscreenCanvas>,
): Promise<boolean> {
  const arrived = awaitPicture(jobId);
  try {
    const picture: Picture = { id: crypto.randomUUID(), jobId, ...(await jpegOf(await drawn())) };
    await (await record()).savePicture(picture);
    const note = newNote('', picture.id);
    await changeKeptJob(jobId, (job) => withNote(job, note), 'picture added');
    return true;
  } catch (error) {
    say((error as Error).message, 'trouble');
    return false;
  } finally {
    arrived();
  }
}

const newNote = (text: string, picture: string | null): JobNote => ({
  id: crypto.randomUUID(),
  at: new Date().toISOString(),
  text,
  picture,
  onJobSheet: false,
});

const withNote = (job: Job, note: JobNote): Job => ({ ...job, notes: [...job.notes, note] });

/** @throws Error with a sentence for what is no picture, too large, or damaged. */
async function decoded(file: File): Promise<OffscreenCanvas> {
  const name = `“${file.name || 'picture'}”`;
  if (file.type !== '' && !file.type.startsWith('image/')) {
    throw new Error(`${name} is no picture: it was not added.`);
  }
  if (file.size > LARGEST_FILE) {
    const megabytes = Math.ceil(file.size / 1e6);
    throw new Error(
      `${name} has ${megabytes} MB; more than ${LARGEST_FILE / 1e6} MB is not taken. Save a smaller copy of it and add that.`,
    );
  }
  const bitmap = await createImageBitmap(file).catch(() => {
    throw new Error(
      `${name} could not be read as a picture: it may be damaged, or of a kind that this browser does not know. It was not added; JPEG and PNG are read everywhere.`,
    );
  });
  const canvas = scaledDown(bitmap);
  bitmap.close();
  return canvas;
}

/** At most LONGEST pixels a side, the right way up, drawn before this returns. */
function scaledDown(source: ImageBitmap | HTMLVideoElement): OffscreenCanvas {
  const isVideo = source instanceof HTMLVideoElement;
  const [wide, high] = isVideo ? [source.videoWidth, source.videoHeight] : [source.width, source.height];
  const scale = Math.min(1, LONGEST / Math.max(wide, high));
  const width = Math.max(1, Math.round(scale * wide));
  const height = Math.max(1, Math.round(scale * high));
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d');
  if (!context) throw new Error('The picture was not added: this browser could not scale it down.');
  // A JPEG knows no transparency; black would hide what is drawn in dark lines.
  context.fillStyle = 'white';
  context.fillRect(0, 0, width, height);
  context.imageSmoothingQuality = 'high';
  context.drawImage(source, 0, 0, width, height);
  return canvas;
}

async function jpegOf(canvas: OffscreenCanvas): Promise<Omit<Picture, 'id' | 'jobId'>> {
  const { width, height } = canvas;
  const jpeg = await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY });
  return { type: 'image/jpeg', width, height, bytes: new Uint8Array(await jpeg.arrayBuffer()) };
}
