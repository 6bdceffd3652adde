// Two moments that the bench reads from the page's own clock: when the winds changed, and when the first picture of it had been drawn.
export const WIND_CHANGED = 'plumbline:wind-changed';
export const PICTURE = 'plumbline:picture';

/** `started`: when the change began, by `performance.now()`. */
export function markWindChanged(started: number): void {
  performance.clearMarks(WIND_CHANGED);
  performance.mark(WIND_CHANGED, { startTime: started });
}

/** To be called when the picture was handed to the window: it is drawn with the next frame, and marked behind it. */
export const pictureDrawn = (): Promise<void> =>
  new Promise((resolve) => {
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.addEventListener('message', () => {
        performance.clearMarks(PICTURE);
        performance.mark(PICTURE);
        after.port1.close();
        resolve();
      });
      after.port1.start();
      after.port2.postMessage(null);
    });
  });
