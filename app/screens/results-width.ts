import type { RefObject } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

/** Width of an element in CSS px, kept up to date; the first number is what to draw with until it is known. */
export function useWidth<Host extends HTMLElement>(first: number): readonly [RefObject<Host | null>, number] {
  const host = useRef<Host>(null);
  const [width, setWidth] = useState(first);
  useLayoutEffect(() => {
    const element = host.current;
    if (!element) return;
    const look = () => element.clientWidth > 0 && setWidth(element.clientWidth);
    const observer = new ResizeObserver(look);
    observer.observe(element);
    look();
    return () => observer.disconnect();
  }, []);
  return [host, width];
}
