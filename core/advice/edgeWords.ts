// What would change the word, as it is said: "HOLD if the surface wind reaches 7.1 m/s, now 3.7 m/s".
import { never } from '../base/problem.ts';
import { height, lengthUp } from '../words/lengths.ts';
import { chanceWords, PAPER_UNITS, type Units } from '../words/numbers.ts';
import { clock } from '../words/times.ts';
import { directionWords, speed } from '../words/winds.ts';
import type { Edge } from './edges.ts';
import { limitLabel } from './limits.ts';

/** `ground_m`: of the site, for heights above ground. */
export function edgeSentence(edge: Edge, ground_m: number, units: Units = PAPER_UNITS): string {
  return `${edge.to} ${condition(edge, ground_m, units)}`;
}

function condition({ input, to, by, now, at, layer, from_deg }: Edge, ground_m: number, units: Units): string {
  switch (input) {
    case 'moment':
      return `at ${clock(at, units)} without a newer surface wind`;
    case 'surface wind':
      return `if the surface wind ${by < 0 ? 'falls to' : 'reaches'} ${speed(at, units)}, now ${speed(now, units)}`;
    case 'wind aloft': {
      const [bottom, top] = [layer?.bottom_m ?? NaN, layer?.top_m ?? NaN];
      const where = `from ${height(bottom, units, ground_m)} to ${height(top, units, ground_m)}`;
      return `if the wind ${where} is ${speed(by, units)} stronger from ${directionWords(from_deg ?? NaN)}`;
    }
    case 'exit time':
      if (to === 'GO') return `if the exit is ${by < 0 ? 'no later than' : 'no earlier than'} ${clock(at, units)}`;
      return `if the exit ${by < 0 ? 'comes before' : 'slips past'} ${clock(at, units)}`;
    case 'opening height':
      return `if the opening is ${lengthUp(Math.abs(by), units)} ${by < 0 ? 'lower' : 'higher'}`;
    default:
      return never(input);
  }
}

/**
 * By which limit, how likely the errors make it, and which report would tell: "surface wind; 13 % likely; a pilot
 * balloon released now tells at …".
 */
export function edgeTells({ because, likelihood, tells }: Edge, units: Units = PAPER_UNITS): string {
  const chance = likelihood === 1 ? 'comes by itself' : `${chanceWords(likelihood)} likely`;
  const likely = `${limitLabel(because)}; ${chance}`;
  if (tells === null) return `${likely}; no report tells before the exit`;
  return `${likely}; ${tells.what} tells ${tells.at_s === null ? 'at once' : `at ${clock(tells.at_s, units)}`}`;
}
