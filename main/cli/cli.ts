// The command line: finds the command, answers --help, and keeps the two promises of FORMAT.md: exit status 0
// where an answer was given and 2 where the input was refused; and nothing but the answer on standard output.
import { commands, type Command } from './commands.ts';
import { processOutput, REFUSED, type Output } from './output.ts';

const INTRO = `Plumbline: winds, landing, advice, crews and brief of a parachute descent. Advisory only.

  npm run -s plumbline -- COMMAND [FILE…] [options]
`;

function help(): string {
  const width = Math.max(...commands.map((command) => command.name.length));
  const rows = commands.map((command) => `  ${command.name.padEnd(width)}  ${command.summary}`);
  return (
    `${INTRO}\nCommands:\n${rows.join('\n')}\n\n  COMMAND --help says more. Exit status: 0 an answer was ` +
    `given, 2 the input was refused.\n`
  );
}

const asksHelp = (args: readonly string[]): boolean => args.includes('--help') || args.includes('-h');

/**
 * A fault of the program is not an answer: one line, status 1, and the whole of it where PLUMBLINE_TRACE asks for it.
 */
async function runCommand(command: Command, args: readonly string[], output: Output): Promise<number> {
  try {
    return await command.run(args, output);
  } catch (error) {
    const trace = process.env['PLUMBLINE_TRACE'] === '1' && error instanceof Error ? `\n${error.stack ?? ''}` : '';
    output.complain(
      `plumbline ${command.name}: a fault of the program: ` +
        `${error instanceof Error ? error.message : String(error)}${trace}`,
    );
    return 1;
  }
}

/**
 * Runs one command line, such as `['winds', 'file.txt', '--json']`, and answers its exit status. Does not end the
 * process.
 */
export async function main(args: readonly string[], output: Output = processOutput): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === '--help' || name === '-h' || name === 'help') {
    output.print(help());
    return name === undefined ? REFUSED : 0;
  }
  const command = commands.find((candidate) => candidate.name === name);
  if (command === undefined) {
    output.complain(
      `"${name}" is not a command; expected one of ${commands.map((known) => known.name).join(', ')} (--help ` +
        'says more)',
    );
    return REFUSED;
  }
  if (asksHelp(rest)) {
    output.print(`plumbline ${command.name}: ${command.summary}\n\n${command.usage}\n`);
    return 0;
  }
  return runCommand(command, rest, output);
}
