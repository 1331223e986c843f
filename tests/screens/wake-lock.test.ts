import { expect, it, vi } from 'vitest';
import { keepAwake } from '../../app/screens/actions/wake-lock.ts';
import { view } from '../../app/screens/view.ts';
import type { Hello } from '../../firmware-protocol/messages.ts';

it('holds one lock while a board is connected, however often that changes, and none after it', async () => {
  const held = new Set<object>();
  const request = async () => {
    const lock = new EventTarget();
    held.add(lock);
    const release = async () => {
      held.delete(lock);
      lock.dispatchEvent(new Event('release'));
    };
    return Object.assign(lock, { release });
  };
  vi.stubGlobal('navigator', { wakeLock: { request } });
  vi.stubGlobal('document', Object.assign(new EventTarget(), { visibilityState: 'visible' }));
  keepAwake();
  const connected = () => view.setState({ session: { phase: 'live', hello: {} as Hello, status: null } });
  const gone = () => view.setState({ session: { phase: 'idle' } });
  connected();
  gone();
  connected();
  await vi.waitFor(() => expect(view.getState().awake).toBe(true));
  await expect.poll(() => held.size).toBe(1);
  gone();
  await expect.poll(() => held.size).toBe(0);
  expect(view.getState().awake).toBe(false);
});
