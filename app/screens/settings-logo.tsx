import { useEffect, useRef, useState } from 'preact/hooks';
import type { Logo } from '../record/job.ts';
import { changeWorkshop } from './actions/preferences.ts';
import { readLogo } from './actions/settings-logo.ts';

/** The workshop's logo: chosen, seen as the papers will carry it, and taken off again. */
export function LogoField({ logo }: { logo: Logo | null }) {
  const chooser = useRef<HTMLInputElement>(null);
  const [problem, setProblem] = useState('');
  const url = usePicture(logo);
  const take = async (file: File) => {
    const read = await readLogo(file);
    setProblem(read.ok ? '' : read.problem);
    if (read.ok) changeWorkshop((w) => ({ ...w, logo: read.logo }), logo ? 'another logo' : 'logo');
  };
  return (
    <div class="wide" data-logo={logo ? `${logo.width} × ${logo.height}` : 'none'}>
      {logo && url ? (
        <figure class="logo">
          <img src={url} alt="The workshop’s logo" />
          <figcaption class="quiet">
            {logo.width} × {logo.height} pixels, {Math.ceil(logo.bytes.length / 1024)} kB
          </figcaption>
        </figure>
      ) : (
        <p class="quiet">No logo: papers carry the name alone.</p>
      )}
      <div class="row">
        <button type="button" onClick={() => chooser.current?.click()}>
          {logo ? 'Choose another logo' : 'Choose a logo'}
        </button>
        {logo && (
          <button
            type="button"
            onClick={() => changeWorkshop((w) => ({ ...w, logo: null }), 'logo taken off')}
            data-action="remove-logo"
          >
            Take it off
          </button>
        )}
        <span class="quiet">PNG or JPEG; a copy is scaled down, the file stays as it is.</span>
        <input
          ref={chooser}
          type="file"
          accept="image/png,image/jpeg"
          hidden
          aria-label="Logo"
          onChange={(e) => {
            const file = e.currentTarget.files?.[0];
            if (file) void take(file);
            e.currentTarget.value = '';
          }}
          data-action="logo"
        />
      </div>
      {problem && <p class="trouble">{problem}</p>}
    </div>
  );
}

/** An address under which the page can show the picture, for as long as it is on show. */
function usePicture(logo: Logo | null): string | null {
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    if (!logo) return;
    const made = URL.createObjectURL(new Blob([new Uint8Array(logo.bytes)], { type: logo.type }));
    setUrl(made);
    return () => {
      setUrl(null);
      URL.revokeObjectURL(made);
    };
  }, [logo]);
  return url;
}
