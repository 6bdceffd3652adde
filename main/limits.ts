// How much the desk takes at once, in bytes. A mission of a real descent stays far below; what is above is refused with
// a sentence.
import { quantity } from '../core/words/numbers.ts';
import { MAX_FILE_BYTES } from './contract.ts';

/** The plan's text, and a brief's HTML. */
export const MAX_PLAN_BYTES = 32_000_000;
export const MAX_LOG_BYTES = 64_000_000;
/** One event as a line of the log; a longer one is a file in the wrong place. */
export const MAX_EVENT_BYTES = 1_000_000;
/** How deep lists and groups may lie in each other: a plan needs eight. What is deeper could end a worker's stack. */
export const MAX_DEPTH = 64;
/** All attachments of one mission together: they cross to the window in one answer. */
export const MAX_ATTACHED_BYTES = 192_000_000;
/** One WebSocket message: a whole file, with room for the frame around it. */
export const MAX_MESSAGE_BYTES = MAX_FILE_BYTES + 1_000_000;
/** New lines of a growing file that are sent at once. */
export const MAX_FEED_BYTES = 8_000_000;

/** Bytes as people say them: "12.3 MB". */
export function inMegabytes(bytes: number): string {
  return quantity(bytes / 1e6, 'MB', 1);
}

/** Where a JSON string ends that begins at `from`; the text's end where it does not. */
function endOfString(text: string, from: number): number {
  for (let at = text.indexOf('"', from + 1); at >= 0; at = text.indexOf('"', at + 1)) {
    let escapes = 0;
    while (text[at - 1 - escapes] === '\\') escapes += 1;
    if (escapes % 2 === 0) return at;
  }
  return text.length;
}

/**
 * Whether no list or group of a text that may be JSON lies deeper than MAX_DEPTH, before it is parsed: brackets within
 * its strings do not count.
 */
export function isShallowText(text: string): boolean {
  let depth = 0;
  for (let at = 0; at < text.length; at += 1) {
    const one = text[at];
    if (one === '"') at = endOfString(text, at);
    else if (one === '[' || one === '{') depth += 1;
    else if (one === ']' || one === '}') depth -= 1;
    if (depth > MAX_DEPTH) return false;
  }
  return true;
}
