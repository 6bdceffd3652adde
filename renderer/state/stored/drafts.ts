// Changes that were not saved when the window closed: kept by the browser, one mission's at a time, and brought back as
// a step that can be undone. Kept only while the file on the disk is the one that they were made on.
import type { Kept } from './view.ts';

const KEY = 'plumbline/draft/1';
/** Browsers give a page about 5 MB; a plan has some kB. */
const TEXT_MAX = 2_000_000;

export interface Draft {
  readonly path: string;
  /** The plan on the disk when the changes were made, and the plan with them. */
  readonly base: string;
  readonly text: string;
}

export function keepDraft(kept: Kept | null, draft: Draft | null): void {
  try {
    if (draft !== null && draft.base.length + draft.text.length > TEXT_MAX) return;
    kept?.setItem(KEY, draft === null ? '' : JSON.stringify(draft));
  } catch {
    // Without a store there are no drafts; saving still works.
  }
}

/** The draft of a mission; null without one. What was kept is unknown until it has been checked. */
export function draftOf(kept: Kept | null, path: string): Draft | null {
  try {
    const value: unknown = JSON.parse(kept?.getItem(KEY) ?? 'null');
    if (typeof value !== 'object' || value === null || !('path' in value) || !('base' in value) || !('text' in value))
      return null;
    const { path: of, base, text } = value;
    return of === path && typeof base === 'string' && typeof text === 'string' ? { path, base, text } : null;
  } catch {
    return null;
  }
}
