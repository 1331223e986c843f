import { useEffect, useRef, useState } from 'preact/hooks';
import { addShot } from './actions/pictures.ts';

/** Live picture of a camera of this computer, with a button that takes it. Stays open for several. */
export function CameraShot({ close }: { close: () => void }) {
  const dialog = useRef<HTMLDialogElement>(null);
  const video = useRef<HTMLVideoElement>(null);
  const [cameras, setCameras] = useState<readonly MediaDeviceInfo[]>([]);
  const [wanted, setWanted] = useState('');
  const [live, setLive] = useState(false);
  const [trouble, setTrouble] = useState('');
  const [taking, setTaking] = useState(false);
  const [taken, setTaken] = useState(0);
  useEffect(() => dialog.current?.showModal(), []);
  useEffect(() => {
    let gone = false;
    let stream: MediaStream | null = null;
    setLive(false);
    setTrouble('');
    void (async () => {
      try {
        stream = await navigator.mediaDevices.getUserMedia({ video: wish(wanted), audio: false });
        if (gone) {
          stop(stream);
          return;
        }
        if (video.current) video.current.srcObject = stream;
        // Cameras have names only once one of them may be used.
        const devices = await navigator.mediaDevices.enumerateDevices();
        setCameras(devices.filter(({ kind, deviceId }) => kind === 'videoinput' && deviceId !== ''));
      } catch (error) {
        if (!gone) setTrouble(troubleWords(error as Error));
      }
    })();
    return () => {
      gone = true;
      if (stream) stop(stream);
    };
  }, [wanted]);

  async function take(): Promise<void> {
    if (!video.current) return;
    setTaking(true);
    if (await addShot(video.current)) setTaken((n) => n + 1);
    setTaking(false);
  }

  return (
    <dialog
      ref={dialog}
      class="large"
      aria-label="Take a picture"
      onClose={close}
      onKeyDown={(e) => e.stopPropagation()}
    >
      {trouble ? (
        <p class="trouble" role="alert">
          {trouble}
        </p>
      ) : (
        <video ref={video} autoPlay playsInline muted onPlaying={() => setLive(true)} />
      )}
      <div class="row">
        <button
          type="button"
          class="main"
          disabled={!live || taking}
          onClick={() => void take()}
          data-action="shutter"
        >
          Take it
        </button>
        {cameras.length > 1 && (
          <select aria-label="Camera" value={wanted} onChange={(e) => setWanted(e.currentTarget.value)}>
            <option value="">the usual camera</option>
            {cameras.map(({ deviceId, label }, index) => (
              <option key={deviceId} value={deviceId}>
                {label || `camera ${index + 1}`}
              </option>
            ))}
          </select>
        )}
        <p class="grows quiet" role="status">
          {taken === 0 ? '' : taken === 1 ? '1 picture taken' : `${taken} pictures taken`}
        </p>
        <button type="button" onClick={() => dialog.current?.close()}>
          Close <kbd>Esc</kbd>
        </button>
      </div>
    </dialog>
  );
}

/** The camera chosen, or one that looks away from the user; as fine as is kept. */
const wish = (deviceId: string): MediaTrackConstraints => ({
  width: { ideal: 1920 },
  height: { ideal: 1440 },
  ...(deviceId === '' ? { facingMode: 'environment' } : { deviceId: { exact: deviceId } }),
});

function stop(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop();
}

function troubleWords({ name, message }: Error): string {
  switch (name) {
    case 'NotAllowedError':
      return 'The browser does not let this page use the camera. Allow it in the browser’s settings for this page, or choose a picture from a file.';
    case 'NotFoundError':
    case 'OverconstrainedError':
      return 'No camera was found on this computer. Connect one, or choose a picture from a file.';
    case 'NotReadableError':
      return 'The camera is in use by another program, or does not answer. Close that program and try again.';
    default:
      return `The camera could not be used: ${message}`;
  }
}
