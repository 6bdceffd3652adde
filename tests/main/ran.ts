// The command line as a test runs it: what it prints, what it complains of, and its status.
import { main } from '../../main/cli/cli.ts';

export interface Ran {
  readonly status: number;
  readonly out: string;
  readonly complaints: readonly string[];
}

export async function ran(...args: string[]): Promise<Ran> {
  const out: string[] = [];
  const complaints: string[] = [];
  const status = await main(args, {
    print: (text) => void out.push(text),
    complain: (line) => void complaints.push(line),
  });
  return { status, out: out.join(''), complaints };
}
