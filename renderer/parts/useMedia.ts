// Whether a media query holds, followed as it changes.
import { useEffect, useState } from 'preact/hooks';

export function useMedia(query: string): boolean {
  const [holds, setHolds] = useState(() => window.matchMedia(query).matches);
  useEffect(() => {
    const list = window.matchMedia(query);
    const follow = (): void => setHolds(list.matches);
    follow();
    list.addEventListener('change', follow);
    return () => list.removeEventListener('change', follow);
  }, [query]);
  return holds;
}
