import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { Screen } from './view.ts';

type Later = Exclude<Screen, 'start'>;

/** Screens with all of judging behind them: fetched once the start screen stands, so that it stands soon. */
const loaders: Readonly<Record<Later, () => Promise<ComponentType>>> = {
  jobs: async () => (await import('./jobs-screen.tsx')).JobsScreen,
  job: async () => (await import('./job-screen.tsx')).JobScreen,
  checks: async () => (await import('./checks-screen.tsx')).ChecksScreen,
  bench: async () => (await import('./bench-screen.tsx')).BenchScreen,
  results: async () => (await import('./results-screen.tsx')).ResultsScreen,
  camera: async () => (await import('./camera-screen.tsx')).CameraScreen,
  certificate: async () => (await import('./certificate-screen.tsx')).CertificateScreen,
  settings: async () => (await import('./settings-screen.tsx')).SettingsScreen,
};

const loaded = new Map<Later, ComponentType>();

async function load(screen: Later): Promise<void> {
  if (!loaded.has(screen)) loaded.set(screen, await loaders[screen]());
}

/** Fetches the rest of the page. What can't be had now is asked for again when it is wanted. */
export function loadScreens(): void {
  for (const screen of Object.keys(loaders) as Later[]) void load(screen).catch(() => undefined);
}

export function LaterScreen({ screen }: { screen: Later }) {
  const [state, setState] = useState<'waiting' | 'failed'>('waiting');
  const [, shown] = useState(0);
  const ask = () => {
    setState('waiting');
    load(screen).then(
      () => shown((n) => n + 1),
      () => setState('failed'),
    );
  };
  useEffect(ask, [screen]);
  const Screen = loaded.get(screen);
  if (Screen) return <Screen />;
  return (
    <main class="sheet">
      {state === 'waiting' ? (
        <p class="quiet" role="status">
          Loading …
        </p>
      ) : (
        <>
          <p class="trouble">
            This part of the page could not be loaded. Is it still being served? If Leafclock was renewed
            meanwhile, reload the page.
          </p>
          <div class="row">
            <button type="button" onClick={ask}>
              Try again
            </button>
            <button type="button" onClick={() => location.reload()}>
              Reload the page
            </button>
          </div>
        </>
      )}
    </main>
  );
}
