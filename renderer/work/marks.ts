// Two moments that the bench reads from the page's own clock: when the winds changed, and when the first picture of it
// had been drawn.
import { afterFrame } from '../frame.ts';

export const WIND_CHANGED = 'plumbline:wind-changed';
export const PICTURE = 'plumbline:picture';

/** `started`: when the change began, by `performance.now()`. */
export function markWindChanged(started: number): void {
  performance.clearMarks(WIND_CHANGED);
  performance.mark(WIND_CHANGED, { startTime: started });
}

/**
 * To be called when the picture was handed to the window: the map draws it in the next frame, and the mark stands
 * behind that frame.
 */
export const pictureDrawn = (): Promise<void> =>
  new Promise((resolve) => {
    afterFrame(() => {
      performance.clearMarks(PICTURE);
      performance.mark(PICTURE);
      resolve();
    });
  });
