// Where the numbers of a search come from: how far apart its lines are, how long it takes, and whom it finds. A crew's
// sweep width and speed of search stand in the plan's file; they have no field to lead to.
import type { SearchPattern, SearchPlan } from '../../../core/recovery/search.ts';
import { SEARCH_MPS } from '../../../core/recovery/searcher.ts';
import { never } from '../../../core/base/problem.ts';
import type { Provenance } from '../stored/tellers.ts';
import { distance } from '../../../core/words/lengths.ts';
import { duration } from '../../../core/words/times.ts';
import { number, THIN, type Units, chanceWords } from '../../../core/words/numbers.ts';
import { speed } from '../../../core/words/winds.ts';

export type SearchColumn = 'spacing' | 'time' | 'finds';

export interface SearchOf {
  readonly search: SearchPlan;
  readonly one: SearchPattern;
  readonly units: Units;
}

export const searchKey = (one: SearchPattern, column: SearchColumn): string => `search/${one.pattern.name}/${column}`;

const titles: Readonly<Record<SearchColumn, string>> = {
  spacing: 'distance between its lines',
  time: 'time',
  finds: 'share that it finds',
};

export function searchWhy(of: SearchOf, column: SearchColumn): Provenance {
  const { name } = of.one.pattern;
  const title = `Search, ${name}: ${titles[column]}`;
  return { key: searchKey(of.one, column), title, sentence: sentenceOf(of, column), inputs: [] };
}

function sentenceOf({ search, one, units }: SearchOf, column: SearchColumn): string {
  const { searcher } = search;
  const who = searcher?.crew.name ?? 'a helicopter, as no crew can search';
  const sweep = distance(one.sweepWidth_m, units);
  switch (column) {
    case 'spacing': {
      const own = `this program’s own for a ${searcher?.crew.kind ?? 'helicopter'} over ${search.afloat === null ? 'open ground' : 'water'}, as the plan gives none`;
      const whose = searcher?.crew.team.sweepWidth_m === undefined ? own : 'by the plan';
      const apart =
        one.spacing_m === one.sweepWidth_m
          ? ''
          : ` The lines move together to ${distance(one.spacing_m, units)}, so that none lies outside the area.`;
      return `The sweep width of ${who}, to both sides together: ${sweep}, ${whose}.${apart}`;
    }
    case 'time': {
      const flown = speed(searcher?.speed_mps ?? SEARCH_MPS, units, 1);
      const length = `${number(one.pattern.length_m)}${THIN}m`;
      const way = `Along the pattern, ${length}, at the speed of search of ${who}, ${flown}`;
      return `${way}: ${duration(one.time_s)}, without the way to it.`;
    }
    case 'finds': {
      const lines =
        `Its lines are ${number(one.pattern.length_m)}${THIN}m long; with a sweep width of ` +
        `${number(one.sweepWidth_m)}${THIN}m they cover the area, ${areaWords(one)}, ${number(one.coverage, 2)} ` +
        'times';
      return (
        `Of the drawn landings ${chanceWords(one.contains)} lie in the area of the pattern. ${lines}, which ` +
        `finds 1 − exp(−${number(one.coverage, 2)}) = ${chanceWords(one.detection)} of those who lie there: ` +
        `together ${chanceWords(one.detection * one.contains)}.`
      );
    }
    default:
      return never(column);
  }
}

const areaWords = ({ area_m2 }: SearchPattern): string => `${number(area_m2 / 1e6, 2)}${THIN}km²`;
