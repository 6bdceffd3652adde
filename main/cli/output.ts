// Where a command's answer and its complaints go, and how a refusal reads: one line per problem, file or key first.
import { createInterface } from 'node:readline';
import { plainJson, plainText } from '../../core/base/plainText.ts';
import type { Problem } from '../../core/base/problem.ts';

/** Exit status where the input was refused (FORMAT.md). */
export const REFUSED = 2;

export interface Output {
  /** Standard output: the answer, whole lines. */
  readonly print: (text: string) => void;
  /** Standard error: one line. */
  readonly complain: (line: string) => void;
  /** Where lines to be read come from; left out: standard input. */
  readonly lines?: () => AsyncIterable<string>;
}

export const processOutput: Output = {
  print: (text) => {
    // Names and texts come from files: what would drive a terminal is shown, in JSON as an escape with the same
    // meaning.
    const plain = /^[[{]/.test(text) ? plainJson(text) : plainText(text);
    process.stdout.write(plain.endsWith('\n') ? plain : `${plain}\n`);
  },
  complain: (line) => void process.stderr.write(`${plainText(line)}\n`),
};

/** Standard input, line by line as it comes. */
export const standardLines = (): AsyncIterable<string> =>
  createInterface({ input: process.stdin, crlfDelay: Infinity });

/** One line on standard error: `FILE:LINE: what is wrong` (without the line where the problem is the whole file's). */
export function complainOf(file: string, problem: Problem, output: Output): void {
  const where = problem.line > 0 ? `${file}:${problem.line}` : file;
  output.complain(`${where}: ${problem.text.replace(/\s*\n\s*/g, ' ')}`);
}
