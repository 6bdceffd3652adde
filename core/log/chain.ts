// What ties the lines of a log together (format version 2): a line ends with a hash of the line before it and of
// itself, so that a byte that was changed, a line that was taken out and a line that was put in are seen. A line of
// version 1 has none, and the first line of version 2 behind it counts its text as the line before.
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import type { LogEvent } from './events.ts';

/** 64 bits: against accidents and careless editing, not against somebody who recomputes the hashes. */
const DIGITS = 16;
const ENDING = /^(.*),"chain":"([0-9a-f]{16})"\}$/s;
const SAYS_VERSION_2 = /,"v":2(?:,[^,]*)?\}$/;

const digest = (text: string): string => bytesToHex(sha256(utf8ToBytes(text))).slice(0, DIGITS);

/** What the next line is tied to: the hash at the end of a line, or one of its text where it has none. */
export const linkOf = (line: string): string => ENDING.exec(line)?.[2] ?? digest(line);

/**
 * An event as a line of the log, without its line end, tied to the line before by its link ('': it is the first).
 * `seq`, `at` and `kind` come first, where a person looks; JSON escapes every line break within a text.
 */
export function logLine({ seq, at, kind, ...rest }: LogEvent, before: string): string {
  const content = `${JSON.stringify({ seq, at, kind, ...rest }).slice(0, -1)},"v":2`;
  return `${content},"chain":"${digest(before + content)}"}`;
}

/** A whole log as its file. */
export function logText(events: readonly LogEvent[]): string {
  const lines: string[] = [];
  for (const event of events) {
    const before = lines.at(-1);
    lines.push(logLine(event, before === undefined ? '' : linkOf(before)));
  }
  return lines.map((line) => `${line}\n`).join('');
}

/** Follows the chain through a log, line after line. */
export class Chain {
  /** Of the line before; '' where this is the first. */
  #link = '';
  #begun = false;

  /** Why a line does not follow the one before it; null where it does. */
  broken(line: string): string | null {
    const before = this.#link;
    const begun = this.#begun;
    const [, content, chain] = ENDING.exec(line) ?? [];
    this.#link = linkOf(line);
    this.#begun ||= content !== undefined;
    if (content === undefined) {
      if (SAYS_VERSION_2.test(line)) return 'the hash at the end of this line is damaged';
      return begun ? 'this line carries no hash, but the line before it does' : null;
    }
    if (chain === digest(before + content)) return null;
    return 'this line does not fit the line before it: one of the two was changed, or a line between them is missing';
  }
}
