// What the commands on a mission share: one mission file, and the options that several of them take.
import { defaultMoment_s, situationAt, type Situation } from '../../core/mission/situation.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { readArguments, readTime, type Arguments, type OptionKinds } from './arguments.ts';
import { openMission } from './mission.ts';
import type { Output } from './output.ts';

export interface MissionAsk<K extends OptionKinds> {
  readonly path: string;
  readonly loaded: Loaded;
  readonly options: Arguments<K>['options'];
}

/** Reads a command line of one mission and opens it; null where that was refused, which has then been said. */
export async function askMission<const K extends OptionKinds>(
  command: string,
  args: readonly string[],
  kinds: K,
  output: Output,
): Promise<MissionAsk<K> | null> {
  const given = readArguments(args, kinds);
  const [path, ...more] = typeof given === 'string' ? [] : given.files;
  if (typeof given === 'string' || path === undefined || more.length > 0) {
    output.complain(
      `plumbline ${command}: ` +
        (typeof given === 'string' ? given : `expected one mission: plumbline ${command} FILE.mission.json`),
    );
    return null;
  }
  const loaded = await openMission(path, output);
  return loaded === null ? null : { path, loaded, options: given.options };
}

/**
 * The mission at the moment that `--at` names, by default at the newest event of its log; null where that was refused.
 */
export function situationOf(command: string, loaded: Loaded, at: string | undefined, output: Output): Situation | null {
  const at_s = at === undefined ? defaultMoment_s(loaded.mission, loaded.log) : readTime('at', at);
  if (typeof at_s === 'string') {
    output.complain(`plumbline ${command}: ${at_s}`);
    return null;
  }
  return situationAt(loaded.mission, loaded.log, loaded.world, at_s);
}

/** What a whole number of an option may be, and what it is where it is left out. */
export interface WholeNumber {
  readonly otherwise: number;
  readonly min: number;
  readonly max: number;
}

/** A whole number of an option; null where it was refused. */
export function wholeNumber(
  command: string,
  option: string,
  text: string | undefined,
  { otherwise, min, max }: WholeNumber,
  output: Output,
): number | null {
  if (text === undefined) return otherwise;
  const value = Number(text);
  if (/^\d+$/.test(text) && value >= min && value <= max) return value;
  output.complain(`plumbline ${command}: --${option} "${text}"; expected a whole number from ${min} to ${max}`);
  return null;
}
