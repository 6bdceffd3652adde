// What can be typed on the entry line, said where it is typed: the forms that begin as the line does, narrowed with
// every letter.
import type { Command } from '../state/acting/commands.ts';

/** One example of each form, as it is typed. */
export const FORMS: readonly string[] = [
  'Ground One 270/10 kt',
  '270/10 kt at 1500 m agl',
  'from the north-west 5 to 10 kt',
  'calm',
  'light and variable',
  'smoke from the west 5 kt',
  'w5 reversed',
  'correct w5 from 125',
  'corrected: the other way round',
  'confirm w5',
  'withdraw w5 wrong field',
  'called exit at 0720',
  'called canopy open 2400 m msl',
  'called touchdown',
  'fix 30.08 S 22.40 E 12000 m msl',
  'note dust lifting',
  'level 270/10 kt at 1500 m agl',
  'exit 38000 m',
  'exit 30.07 S 22.36 E',
  'go 34J FL 2623 9812',
  'what if surface +4',
  'I am winds desk',
];

const MOST = 4;

/** The forms and the words of commands that begin as a line does; none where the line is empty or goes its own way. */
export function formsFor(text: string, commands: readonly Command[]): readonly string[] {
  const typed = text.trimStart().toLowerCase();
  if (typed === '') return [];
  const all = [...FORMS, ...commands.flatMap((command) => command.words)];
  // The first word counts once it is whole: "correct w6" goes on as "correct w5 from 125" does.
  const first = /^\S+\s/.exec(typed)?.[0];
  const begins = all.filter((form) => form.toLowerCase().startsWith(typed));
  const alike = first === undefined ? [] : all.filter((form) => form.toLowerCase().startsWith(first));
  return [...new Set(begins.length > 0 ? begins : alike)].filter((form) => form.toLowerCase() !== typed).slice(0, MOST);
}
