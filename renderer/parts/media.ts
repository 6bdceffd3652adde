// Whether a media query holds, followed for as long as the page lives.
import { signal, type ReadonlySignal } from '@preact/signals';

export function holds(query: string): ReadonlySignal<boolean> {
  const list = window.matchMedia(query);
  const now = signal(list.matches);
  list.addEventListener('change', () => {
    now.value = list.matches;
  });
  return now;
}
