// The size of an element in px, followed as it changes; 0 until it is known.
import { useEffect, useState } from 'preact/hooks';
import type { RefObject } from 'preact';

export interface Measured {
  readonly width: number;
  readonly height: number;
}

export function useSize(of: RefObject<HTMLElement>): Measured {
  const [size, setSize] = useState<Measured>({ width: 0, height: 0 });
  useEffect(() => {
    const element = of.current;
    if (element === null) return undefined;
    const measure = (): void => {
      const { width, height } = element.getBoundingClientRect();
      setSize((was) => (was.width === width && was.height === height ? was : { width, height }));
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, [of]);
  return size;
}
