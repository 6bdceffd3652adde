// The scenarios that come with the program: bundled with it, so that they are there wherever it runs.
import { Random } from '../core/base/random.ts';
import { rehearsalScenario, type RehearsalScenario } from '../core/rehearsal/scenario.ts';
import calmRun from '../data/rehearsals/calm-run.json';
import fixesLost from '../data/rehearsals/fixes-lost.json';
import lateOpening from '../data/rehearsals/late-opening.json';
import reversedReport from '../data/rehearsals/reversed-report.json';
import windAloft from '../data/rehearsals/wind-aloft.json';
import wrongUnits from '../data/rehearsals/wrong-units.json';

const files: readonly { readonly name: string; readonly trains: string }[] = [
  calmRun,
  reversedReport,
  fixesLost,
  windAloft,
  lateOpening,
  wrongUnits,
];

/** In the order in which they are offered. */
export const rehearsalNames = files.map(({ name }) => name);

/** The same with what each trains. */
export const rehearsalsOffered = files.map(({ name, trains }) => ({ name, trains }));

/** In place of a name: one of them by the seed, so that who sits there does not know which. */
export const ANY = 'any';
const ANY_STREAM = 0xa27;

/** The scenario of a name, or any; null where no scenario has it. */
export function bundledRehearsal(name: string, seed: number): RehearsalScenario | null {
  const drawn = Math.floor(files.length * new Random(seed, ANY_STREAM).uniform());
  const found = name === ANY ? files[drawn] : files.find((one) => one.name === name.trim().toLowerCase());
  return found === undefined ? null : rehearsalScenario.parse(found);
}
