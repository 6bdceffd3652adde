// A brief's tables for a spreadsheet: the drawn landings, the cases, the winds by level. SI units, named in the head of
// each column.
import { isoOf } from '../base/plainNumbers.ts';
import { toCsv, type Cell, type CsvColumn } from '../formats/out/csvOut.ts';
import { never } from '../base/problem.ts';
import { RAD_PER_DEG, windFrom } from '../base/units.ts';
import { WindSampler } from '../winds/field.ts';
import type { BriefSource } from './source.ts';

export const TABLES = ['members', 'cases', 'levels'] as const;
export type Table = (typeof TABLES)[number];

export function csvOf(source: BriefSource, table: Table): string {
  switch (table) {
    case 'members':
      return members(source);
    case 'cases':
      return cases(source);
    case 'levels':
      return levels(source);
    default:
      return never(table);
  }
}

/** Every drawn descent of every case. */
function members({ cases: outlooks }: BriefSource): string {
  const columns: CsvColumn[] = [
    { name: 'case' },
    { name: 'member', decimals: 0 },
    { name: 'lon_deg', decimals: 7 },
    { name: 'lat_deg', decimals: 7 },
    { name: 'time_s', decimals: 2 },
    { name: 'groundSpeed_mps' },
    { name: 'sink_mps' },
    { name: 'shock_g' },
  ];
  const rows = outlooks.flatMap((one): Cell[][] => {
    if (one.kind !== 'flown') return [];
    const { members: m } = one;
    return Array.from({ length: m.count }, (_, i) => [
      one.case.name,
      i,
      m.lon_deg[i] ?? null,
      m.lat_deg[i] ?? null,
      m.time_s[i] ?? null,
      m.groundSpeed_mps[i] ?? null,
      m.sink_mps[i] ?? null,
      m.shock_g[i] ?? null,
    ]);
  });
  return toCsv(columns, rows);
}

function cases({ table }: BriefSource): string {
  const names = [
    'letter',
    'case',
    'share',
    'lon_deg',
    'lat_deg',
    'touchdown',
    'time_s',
    'opens_m_msl',
    'sink_mps',
    'semiMajor90_m',
    'semiMinor90_m',
    'bearing90_deg',
    'away_m',
    'awayToward_deg',
    'firstCrew',
    'first50_s',
    'first95_s',
    'why',
  ];
  const columns = names.map((name): CsvColumn => ({
    name,
    decimals: name === 'lon_deg' || name === 'lat_deg' ? 7 : 3,
  }));
  const rows = table.map((one): Cell[] => {
    const head = [one.case.mark.letter, one.case.name, one.case.weight];
    if (one.kind === 'no landing') return [...head, ...Array.from({ length: names.length - 4 }, () => null), one.why];
    const { landing, ellipse90, firstCrew } = one;
    return [
      ...head,
      ...landing,
      isoOf(Math.round(one.touchdown_s)),
      one.time_s,
      one.opens_m,
      one.sink_mps,
      ellipse90.semiMajor_m,
      ellipse90.semiMinor_m,
      ellipse90.bearing_deg,
      one.away_m,
      one.bearing_deg,
      firstCrew?.crew.name ?? null,
      firstCrew?.p50_s ?? null,
      firstCrew?.p95_s ?? null,
      null,
    ];
  });
  return toCsv(columns, rows);
}

/** The analysed wind at the landing's place and the exit's time, at the levels of the analysis. */
function levels({ situation, advised }: BriefSource): string {
  const { world, winds } = situation;
  const { scenario, offset, prediction } = advised.outlook;
  const [lon, lat] = prediction.landing?.position ?? situation.mission.site.position;
  const sampler = new WindSampler(world.wind);
  sampler.start(scenario.exit.time_s, offset);
  const ground = world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  const rows = Array.from(winds.analysis.increment.heights_m, (height_m, k): Cell[] => {
    sampler.sample(lat * RAD_PER_DEG, lon * RAD_PER_DEG, height_m, 0);
    const { from_deg, speed_mps } = windFrom(sampler.out[0] ?? NaN, sampler.out[1] ?? NaN);
    return [height_m, height_m - ground, from_deg, speed_mps, winds.analysis.std_mps[k] ?? null];
  });
  const columns = ['height_m_msl', 'height_m_agl', 'from_deg_true', 'speed_mps', 'std_mps'].map((name): CsvColumn => ({
    name,
    decimals: 2,
  }));
  return toCsv(columns, rows);
}
