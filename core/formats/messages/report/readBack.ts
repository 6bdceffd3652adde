// A report said back in words, FROM and TOWARD, before anybody accepts it: what a person compares with what was said.
import { zeroed } from '../../../base/plainNumbers.ts';
import { wrap360, type LonLat } from '../../../base/units.ts';
import { landmarkToward } from '../../../words/places.ts';
import { roughDuration, clock } from '../../../words/times.ts';
import { isCalm, directionWords } from '../../../words/winds.ts';
import { statedHeight } from '../../../words/lengths.ts';
import { THIN, trimmed } from '../../../words/numbers.ts';
import type { ReportContext } from './types.ts';
import { MPS_PER, type SpeedUnit } from './vocabulary.ts';

export interface ReadBack {
  readonly from_deg: number | null;
  readonly speed_mps: number;
  readonly range: readonly [low: number, high: number] | null;
  readonly unit: SpeedUnit;
  readonly gust_mps: number | null;
  readonly variable: boolean;
  readonly agl_m?: number | undefined;
  readonly height_m?: number | undefined;
  readonly flightLevel: number | null;
  readonly who: string;
  readonly observed_s: number;
  readonly now_s: number;
  readonly notes: readonly string[];
}

/** "7 kt (3.6 m/s)", "5 to 10 kt (2.6 to 5.1 m/s)": in the unit that was said, with m/s beside it. */
function speedPhrase({ unit, range, speed_mps }: Pick<ReadBack, 'unit' | 'range' | 'speed_mps'>): string {
  const [low, high] = range ?? [null, speed_mps];
  const both = (name: SpeedUnit, decimals: number): string => {
    const from = low === null ? '' : `${trimmed(low / MPS_PER[name], decimals)} to `;
    return `${from}${trimmed(high / MPS_PER[name], decimals)}${THIN}${name}`;
  };
  return unit === 'm/s' ? both('m/s', 1) : `${both(unit, 0)} (${both('m/s', 1)})`;
}

/**
 * The whole sentence: "from 090° (east), 7 kt (3.6 m/s), blowing toward 270° (west), Long Ridge side; 2 m AGL;
 * crew Team 2; 5 min ago (13:40:00Z)".
 */
export function readBackWords(of: ReadBack, context: ReportContext, vantage: LonLat): string {
  const parts = [windPhrase(of, context, vantage), heightPhrase(of), of.who, agePhrase(of), ...of.notes];
  return parts.join('; ');
}

function windPhrase(of: ReadBack, context: ReportContext, vantage: LonLat): string {
  const gust =
    of.gust_mps === null ? '' : `, gusting ${speedPhrase({ unit: of.unit, speed_mps: of.gust_mps, range: null })}`;
  if (of.variable) return `from anywhere (variable), ${speedPhrase(of)}${gust}`;
  if (isCalm(of.speed_mps) || of.from_deg === null) return `calm${gust}`;
  const toward = wrap360(of.from_deg + 180);
  // What a reporter sees on that side is said only where it is what the window names for this wind too.
  const { places, landing, site } = context;
  const seen = landmarkToward(places, vantage, toward);
  const landmark = seen === landmarkToward(places, landing ?? site.position, toward) ? seen : null;
  const side = landmark === null ? '' : `, ${landmark} side`;
  return (
    `from ${directionWords(of.from_deg)}, ${speedPhrase(of)}${gust}, blowing toward ` +
    `${directionWords(toward)}${side}`
  );
}

function heightPhrase(of: ReadBack): string {
  if (of.flightLevel !== null) {
    return `FL${zeroed(of.flightLevel, 3)}, a pressure altitude, taken as ${statedHeight({ height_m: of.height_m })}`;
  }
  return statedHeight(of);
}

function agePhrase(of: ReadBack): string {
  const age_s = of.now_s - of.observed_s;
  return age_s < 1 ? `now (${clock(of.observed_s)})` : `${roughDuration(age_s)} ago (${clock(of.observed_s)})`;
}
