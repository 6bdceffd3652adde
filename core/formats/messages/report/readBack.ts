// A report said back in words, FROM and TOWARD, before anybody accepts it: what a person compares with what was said.
import { wrap360, type LonLat } from '../../../base/units.ts';
import { landmarkToward, type Place } from '../../../plan/places.ts';
import { ageWords, clockWords, directionWords, heightWords, trimmed, windWords } from '../../../words/winds.ts';
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

const inUnit = (mps: number, unit: SpeedUnit): string => trimmed(mps / MPS_PER[unit], unit === 'm/s' ? 1 : 0);

/** "7 kt (3.6 m/s)", "5 to 10 kt (2.6 to 5.1 m/s)": in the unit that was said, with m/s beside it. */
function speedPhrase(of: ReadBack): string {
  const { unit, range, speed_mps } = of;
  const both = range === null ? [speed_mps] : [range[0], range[1]];
  const said = both.map((one) => inUnit(one, unit)).join(' to ');
  return unit === 'm/s' ? `${said} m/s` : `${said} ${unit} (${both.map((one) => trimmed(one, 1)).join(' to ')} m/s)`;
}

/**
 * The whole sentence: "from 090° (east), 7 kt (3.6 m/s), blowing toward 270° (west), Long Ridge side; 2 m above ground;
 * crew Team 2; 5 min ago (13:40Z)".
 */
export function readBackWords(of: ReadBack, places: readonly Place[], vantage: LonLat): string {
  const parts = [windPhrase(of, places, vantage), heightPhrase(of), of.who, agePhrase(of), ...of.notes];
  return parts.join('; ');
}

function windPhrase(of: ReadBack, places: readonly Place[], vantage: LonLat): string {
  const gust = of.gust_mps === null ? '' : `, gusting ${speedPhrase({ ...of, speed_mps: of.gust_mps, range: null })}`;
  if (of.variable) return `from anywhere (variable), ${speedPhrase(of)}${gust}`;
  if (of.speed_mps < 0.05 || of.from_deg === null) return `calm${gust}`;
  const toward = wrap360(of.from_deg + 180);
  const landmark = landmarkToward(places, vantage, toward);
  const side = landmark === null ? '' : `, ${landmark} side`;
  const from = windWords(of.from_deg, 1).split(', ')[0] ?? '';
  return `${from}, ${speedPhrase(of)}${gust}, blowing toward ${directionWords(toward)}${side}`;
}

function heightPhrase(of: ReadBack): string {
  if (of.flightLevel !== null) {
    return `FL${String(of.flightLevel).padStart(3, '0')}, a pressure altitude, taken as ${heightWords({ height_m: of.height_m })}`;
  }
  return heightWords(of);
}

function agePhrase(of: ReadBack): string {
  const age_s = of.now_s - of.observed_s;
  return age_s < 1 ? `now (${clockWords(of.observed_s)})` : `${ageWords(age_s)} ago (${clockWords(of.observed_s)})`;
}
