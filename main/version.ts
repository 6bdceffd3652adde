// What both hosts say of the program: its version, and its faults.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Report } from './dispatch.ts';

/** The version that package.json names; the one place where it stands. */
export function versionOf(root: string): string {
  const text: unknown = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  return typeof text === 'object' && text !== null && 'version' in text ? String(text.version) : 'unknown';
}

/** One line on standard error for a fault, and its stack where PLUMBLINE_TRACE=1 asks for it. */
export const reportFault: Report = (line, error) => {
  const detail =
    error instanceof Error ? (process.env['PLUMBLINE_TRACE'] === '1' ? error.stack : error.message) : String(error);
  process.stderr.write(`${line}: ${detail}\n`);
};
