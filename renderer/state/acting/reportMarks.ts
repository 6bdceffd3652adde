// Two moments that the tests and the bench read from the page's own clock: a report was entered, and the landing that
// it moved had been drawn.
import { afterFrame } from '../../frame.ts';

export const REPORT_ENTERED = 'plumbline:report-entered';
export const LANDING_DRAWN = 'plumbline:landing-drawn';

export const markEntered = (): void => void performance.mark(REPORT_ENTERED);

/**
 * To be called when the new landing is known: the map draws it in the next frame, and the mark stands behind that
 * frame.
 */
export function markLandingDrawn(): void {
  afterFrame(() => void performance.mark(LANDING_DRAWN));
}
