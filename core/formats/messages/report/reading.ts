// One line on its way from its parts to an event: what is open is asked, what is known is converted, what cannot be is
// refused.
import type { ReportSource } from '../../../log/events.ts';
import { toPlace, type Place } from '../../../plan/places.ts';
import { never } from '../../../base/problem.ts';
import { M_PER_FT, RAD_PER_DEG, wrap360, type LonLat } from '../../../base/units.ts';
import { SOURCE_ERRORS } from '../../../log/sources.ts';
import { directionWords, trimmed } from '../../../words/winds.ts';
import { isCalm, type DirectionPart, type HeightPart, type Parts, type SpeedPart, type TimePart } from './parts.ts';
import { readBackWords, type ReadBack } from './readBack.ts';
import type {
  Answers,
  NewReport,
  Question,
  QuestionAbout,
  QuestionKey,
  ReportContext,
  ReportReading,
} from './types.ts';
import { M_PER, MPS_PER, type SpeedUnit } from './vocabulary.ts';

/** One line on its way to an event: asks what is open, then converts. */
export class Reading {
  readonly #text: string;
  readonly #context: ReportContext;
  readonly #answers: Answers;
  readonly #parts: Parts;
  readonly #questions: Question[] = [];
  readonly #notes: string[] = [];
  #why: string | null = null;

  constructor(text: string, context: ReportContext, answers: Answers, parts: Parts) {
    this.#text = text;
    this.#context = context;
    this.#answers = answers;
    this.#parts = parts;
  }

  answer(): ReportReading {
    const who = this.#who();
    const direction = this.#direction(who);
    const speed = this.#speed();
    const height = this.#height(who.source);
    const observed_s = this.#time();
    if (this.#why !== null) return { kind: 'refused', why: this.#why };
    if (this.#questions.length > 0) return { kind: 'ask', questions: this.#questions, words: this.#partial(who.words) };
    if (speed === null || height === null || observed_s === null) return { kind: 'refused', why: 'incomplete' };
    const variable = this.#parts.variable || this.#parts.lightVariable;
    const calm = speed.mean_mps === 0;
    const from_deg = variable || calm ? null : (direction?.from_deg ?? null);
    const spread_mps = calm
      ? speed.spread_mps / Math.SQRT2
      : spreadOf(speed.mean_mps, speed.spread_mps, direction?.std_deg ?? 0);
    const event: NewReport = {
      kind: 'wind-report',
      id: this.#context.nextId,
      source: who.source,
      ...(who.by === null ? {} : { by: who.by }),
      observedAt: new Date(Math.round(observed_s) * 1000).toISOString().replace('.000Z', 'Z'),
      ...(who.place === null ? {} : { place: who.place.name, position: middlePoint(who.place) }),
      ...(height.agl_m === undefined ? {} : { agl_m: rounded(height.agl_m, 1) }),
      ...(height.height_m === undefined ? {} : { height_m: rounded(height.height_m, 1) }),
      from_deg: from_deg === null ? 0 : rounded(from_deg, 1),
      speed_mps: rounded(speed.mean_mps, 3),
      ...(speed.gust_mps === null ? {} : { gust_mps: rounded(speed.gust_mps, 3) }),
      ...(spread_mps >= 0.05 ? { spread_mps: rounded(spread_mps, 2) } : {}),
      ...(variable ? { variable: true } : {}),
      text: this.#text,
    };
    const said: ReadBack = {
      from_deg,
      speed_mps: speed.mean_mps,
      range: speed.range,
      unit: speed.unit,
      gust_mps: speed.gust_mps,
      variable,
      agl_m: event.agl_m,
      height_m: event.height_m,
      flightLevel: height.flightLevel,
      who: who.words,
      observed_s,
      now_s: this.#context.now_s,
      notes: this.#notes,
    };
    const words = readBackWords(said, this.#context.places, who.vantage);
    return { kind: 'read', event, words, from_deg, toward_deg: from_deg === null ? null : wrap360(from_deg + 180) };
  }

  /** Source, crew, place, and where one stands to see what lies toward where. */
  #who(): { source: ReportSource; by: string | null; place: Place | null; vantage: LonLat; words: string } {
    let by: string | null = null;
    let place: Place | null = null;
    for (const { names } of this.#parts.mentions) {
      const name = this.#chosen(names);
      if (name === null) continue;
      const team = this.#context.teams.find((one) => one.name === name);
      if (team !== undefined && by === null) by = name;
      else if (team === undefined && place === null)
        place = this.#context.places.find((one) => one.name === name) ?? null;
      else this.#why = `two crews or two places in one line: ${names.join(', ')}`;
    }
    const high = this.#parts.heights.some((one) => one.kind === 'flight level');
    const named =
      this.#parts.source ?? (by !== null ? 'crew' : this.#parts.weatherFormat ? 'station' : high ? 'aircraft' : null);
    const source = named ?? 'estimate';
    const team = this.#context.teams.find((one) => one.name === by);
    const vantage = team?.position ?? (place === null ? this.#context.site.position : middlePoint(place));
    const base = named === null ? 'source not said, weighed as an estimate' : source.replace('-', ' ');
    return {
      source,
      by,
      place,
      vantage,
      words: [base, by ?? '', place === null ? '' : `at ${place.name}`].filter((one) => one !== '').join(' '),
    };
  }

  /** One of several names that a word may mean: the answered one, else a question. */
  #chosen(names: readonly string[]): string | null {
    const [only] = names;
    if (names.length === 1) return only ?? null;
    const { place } = this.#answers;
    if (place !== undefined && names.includes(place)) return place;
    const keys = names.slice(0, 9).map((name, i) => ({ key: String(i + 1), meaning: name, resolves: { place: name } }));
    this.#ask('which place', keys);
    return null;
  }

  #ask(about: QuestionAbout, keys: readonly QuestionKey[]): void {
    if (!this.#questions.some((one) => one.about === about)) this.#questions.push({ about, keys });
  }

  #direction(who: {
    source: ReportSource;
    by: string | null;
    vantage: LonLat;
  }): { from_deg: number; std_deg: number } | null {
    const part = this.#parts.directions[0];
    if (part === undefined || isCalm(this.#parts)) return null;
    const sense = this.#sense(part);
    const said = this.#degrees(part, who);
    if (sense === null || said === null) return null;
    return {
      from_deg: sense === 'from' ? said.direction_deg : wrap360(said.direction_deg + 180),
      std_deg: said.std_deg,
    };
  }

  #sense(part: DirectionPart): 'from' | 'toward' | null {
    if (part.sense !== null) return part.sense;
    // A bare direction names a wind by where it comes from, in every weather format and in plain speech; beside a word
    // of movement nobody can know.
    const open = this.#parts.moving || part.kind === 'name';
    if (!open) return 'from';
    if (this.#answers.sense !== undefined) return this.#answers.sense;
    const it = part.kind === 'name' ? 'it' : part.kind === 'degrees' ? `${part.digits}°` : 'there';
    this.#ask('from or toward', [
      { key: 'f', meaning: `the wind comes FROM ${it}`, resolves: { sense: 'from' } },
      { key: 't', meaning: `the air goes TOWARD ${it}`, resolves: { sense: 'toward' } },
    ]);
    return null;
  }

  #degrees(
    part: DirectionPart,
    who: { source: ReportSource; by: string | null; vantage: LonLat },
  ): { direction_deg: number; std_deg: number } | null {
    switch (part.kind) {
      case 'compass':
        // Uniform over the point's width: width/√12.
        return { direction_deg: part.value, std_deg: part.step_deg / Math.sqrt(12) };
      case 'name': {
        const name = this.#chosen(part.names);
        const place = this.#context.places.find((one) => one.name === name);
        const team = this.#context.teams.find((one) => one.name === name);
        if (name === null) return null;
        const at: Place | undefined =
          place ?? (team === undefined ? undefined : { name, kind: 'team', points: [team.position] });
        const to = at === undefined ? null : toPlace(who.vantage, at);
        if (to === null || to.distance_m < 100) {
          this.#why = `${name} is where the report comes from; it lies in no direction`;
          return null;
        }
        this.#notes.push(`${name} bears ${trimmed(to.bearing_deg, 0)}° from there`);
        return { direction_deg: to.bearing_deg, std_deg: PLACE_STD_DEG };
      }
      case 'degrees': {
        const value = this.#tens(part);
        const north = value === null ? null : this.#north(part, who);
        if (value === null || north === null) return null;
        if (north === 'true') return { direction_deg: value, std_deg: 0 };
        const declination = this.#context.declination_deg;
        if (declination === null) {
          this.#why = 'a magnetic direction, and the declination here is not known; enter it as true';
          return null;
        }
        const direction_deg = wrap360(value + declination);
        this.#notes.push(`${part.digits}° magnetic is ${trimmed(direction_deg, 0)}° true`);
        return { direction_deg, std_deg: 0 };
      }
      default:
        return never(part);
    }
  }

  /** "27/10": 027° or the 27 of 270°. */
  #tens(part: Extract<DirectionPart, { kind: 'degrees' }>): number | null {
    if (part.digits.length >= 3 || part.value > 36) return part.value;
    if (this.#answers.digits !== undefined) return this.#answers.digits === 'tens' ? part.value * 10 : part.value;
    this.#ask('degrees or tens', [
      { key: 'd', meaning: `${String(part.value).padStart(3, '0')}°`, resolves: { digits: 'degrees' } },
      { key: 't', meaning: `${String(part.value * 10).padStart(3, '0')}°`, resolves: { digits: 'tens' } },
    ]);
    return null;
  }

  #north(
    part: Extract<DirectionPart, { kind: 'degrees' }>,
    who: { by: string | null; source: ReportSource },
  ): 'true' | 'magnetic' | null {
    if (part.north !== null) return part.north;
    const voice =
      part.spoken || this.#parts.voice || who.by !== null || who.source === 'crew' || who.source === 'aircraft';
    const declination = this.#context.declination_deg;
    if (!voice || declination === null || Math.abs(declination) < SMALLEST_DECLINATION_DEG) return 'true';
    if (this.#answers.north !== undefined) return this.#answers.north;
    const shown = String(part.value).padStart(3, '0');
    this.#ask('true or magnetic', [
      { key: 't', meaning: `${shown}° true`, resolves: { north: 'true' } },
      {
        key: 'm',
        meaning: `${shown}° magnetic, ${trimmed(wrap360(part.value + declination), 0)}° true`,
        resolves: { north: 'magnetic' },
      },
    ]);
    return null;
  }

  #speed(): {
    mean_mps: number;
    spread_mps: number;
    range: readonly [number, number] | null;
    gust_mps: number | null;
    unit: SpeedUnit;
  } | null {
    const gust = this.#parts.gusts[0] ?? null;
    const part: SpeedPart | undefined = this.#parts.calm
      ? { low: 0, high: 0, unit: 'kt', orMore: false }
      : this.#parts.lightVariable
        ? { low: 0, high: 5, unit: 'kt', orMore: false }
        : this.#parts.speeds[0];
    if (part === undefined) return null;
    const none = part.high === 0 && gust === null;
    const unit = part.unit ?? gust?.unit ?? this.#answers.speedUnit ?? this.#context.speedUnit ?? (none ? 'kt' : null);
    if (unit === null) {
      this.#ask('knots or m/s', [
        { key: 'k', meaning: 'knots', resolves: { speedUnit: 'kt' } },
        { key: 'm', meaning: 'm/s', resolves: { speedUnit: 'm/s' } },
        { key: 'h', meaning: 'km/h', resolves: { speedUnit: 'km/h' } },
        { key: 'i', meaning: 'miles an hour', resolves: { speedUnit: 'mph' } },
      ]);
      return null;
    }
    const [low, high] = [part.low * MPS_PER[unit], part.high * MPS_PER[unit]];
    const gust_mps = gust === null ? null : gust.high * MPS_PER[gust.unit ?? unit];
    if (!(high <= STRONGEST_MPS && (gust_mps ?? 0) <= STRONGEST_MPS))
      this.#why = `a wind of ${trimmed(Math.max(high, gust_mps ?? 0), 0)} m/s; expected 0 to ${STRONGEST_MPS}`;
    if (gust_mps !== null && gust_mps < (low + high) / 2)
      this.#why = 'the gust is below the mean; one of the two is wrong';
    if (this.#parts.weatherFormat && this.#parts.times.length > 0 && this.#parts.mentions.length === 0)
      this.#notes.push('taken as measured at the site');
    if (part.orMore) this.#notes.push('that much or more: the report’s format ends there');
    if (this.#parts.swing !== null)
      this.#notes.push(`swinging from ${this.#parts.swing[0]}° to ${this.#parts.swing[1]}°`);
    return {
      mean_mps: (low + high) / 2,
      spread_mps: (high - low) / Math.sqrt(12),
      range: high > low ? [low, high] : null,
      gust_mps,
      unit,
    };
  }

  #height(source: ReportSource): { agl_m?: number; height_m?: number; flightLevel: number | null } | null {
    const part: HeightPart = this.#parts.heights[0] ?? { kind: 'surface' };
    const usual = SOURCE_ERRORS[source].usual_agl_m;
    switch (part.kind) {
      case 'surface':
        if (usual !== null) return { agl_m: usual, flightLevel: null };
        this.#why = `no height yet: a ${source.replace('-', ' ')} wind needs one, such as: at 1500 ft agl`;
        return null;
      case 'flight level':
        return this.#flightLevel(part.level);
      case 'height':
        return this.#measured(part);
      default:
        return never(part);
    }
  }

  #flightLevel(level: number): { height_m: number; flightLevel: number } | null {
    if (!(level >= 5 && level <= 600)) this.#why = `flight level ${trimmed(level, 0)}; expected 5 to 600`;
    const altitude_m = level * 100 * M_PER_FT;
    // Without the day's air: the standard atmosphere's geopotential height as a geometric one, z = r₀ H/(r₀ − H), USSA
    // 1976 eq. 19.
    const height_m =
      this.#context.heightOfPressureAltitude?.(altitude_m) ??
      (EARTH_RADIUS_M * altitude_m) / (EARTH_RADIUS_M - altitude_m);
    return { height_m, flightLevel: level };
  }

  #measured(
    part: Extract<HeightPart, { kind: 'height' }>,
  ): { agl_m?: number; height_m?: number; flightLevel: number | null } | null {
    const unit = part.unit ?? this.#answers.heightUnit ?? this.#context.heightUnit ?? null;
    if (unit === 'flight level') return this.#flightLevel(part.value);
    if (unit === null) {
      this.#ask('feet or metres', [
        { key: 'f', meaning: 'feet', resolves: { heightUnit: 'ft' } },
        { key: 'm', meaning: 'metres', resolves: { heightUnit: 'm' } },
        ...(part.value >= 5 && part.value <= 600
          ? [{ key: 'l', meaning: 'flight level', resolves: { heightUnit: 'flight level' as const } }]
          : []),
      ]);
    }
    const elevation_m = this.#context.site.elevation_m;
    const reference =
      part.reference ?? this.#answers.reference ?? (Math.abs(elevation_m) < LOWEST_ELEVATION_M ? 'MSL' : null);
    if (reference === null) {
      const zero = `${trimmed(elevation_m, 0)} m`;
      this.#ask('MSL or AGL', [
        { key: 's', meaning: 'above sea level (MSL)', resolves: { reference: 'MSL' } },
        { key: 'g', meaning: `above ground (AGL; the ground here is at ${zero})`, resolves: { reference: 'AGL' } },
      ]);
    }
    if (unit === null || reference === null) return null;
    const metres = part.value * M_PER[unit];
    if (!(metres <= HIGHEST_M))
      this.#why = `a height of ${trimmed(metres / 1000, 1)} km; expected up to ${HIGHEST_M / 1000} km`;
    if (reference === 'MSL' && metres < elevation_m - LOWEST_ELEVATION_M) {
      this.#notes.push(`below the site's ground (${trimmed(elevation_m, 0)} m above sea level)`);
    }
    return reference === 'AGL' ? { agl_m: metres, flightLevel: null } : { height_m: metres, flightLevel: null };
  }

  #time(): number | null {
    const { now_s, localOffset_s = 0 } = this.#context;
    const part: TimePart | undefined = this.#parts.times[0];
    if (part === undefined) return now_s;
    if (part.kind === 'ago') {
      if (!(part.ago_s <= OLDEST_S)) this.#why = 'older than a day: such a wind says nothing now';
      return now_s - part.ago_s;
    }
    const zone = part.zone ?? (localOffset_s === 0 ? 'UTC' : (this.#answers.zone ?? null));
    if (zone === null) {
      this.#ask('UTC or local', [
        { key: 'z', meaning: 'UTC', resolves: { zone: 'UTC' } },
        { key: 'l', meaning: 'local time', resolves: { zone: 'local' } },
      ]);
      return null;
    }
    const offset = zone === 'local' ? localOffset_s : 0;
    const today = Math.floor((now_s + offset) / DAY_S) * DAY_S - offset;
    const at = today + part.ofDay_s;
    // A minute or two ahead is another clock; before that it was yesterday's.
    const observed_s = at <= now_s + CLOCK_TOLERANCE_S ? at : at - DAY_S;
    const day = new Date(observed_s * 1000).getUTCDate();
    if (part.day !== null && part.day !== day) this.#why = `day ${part.day} of the month; expected within the last day`;
    else if (now_s - observed_s > OLDEST_CLOCK_S)
      this.#why = 'that time is still to come, or more than 12 hours ago; say the age instead ("20 min ago")';
    return observed_s;
  }

  /** What is understood so far, for the line beside the question. */
  #partial(who: string): string {
    const direction = this.#parts.directions[0];
    const speed = this.#parts.speeds[0];
    const said = [
      direction === undefined
        ? ''
        : direction.kind === 'name'
          ? direction.names.join(' or ')
          : direction.kind === 'degrees'
            ? `${direction.digits}°`
            : directionWords(direction.value),
      speed === undefined
        ? ''
        : `${speed.low === speed.high ? speed.low : `${speed.low} to ${speed.high}`} ${speed.unit ?? ''}`.trim(),
      who,
    ];
    return said.filter((one) => one !== '').join(', ');
  }
}

/** A direction by landmark is good to some 10° (common practice: a fist at arm's length). */
const PLACE_STD_DEG = 10;
/** Below this, half of the finest step in which directions are given, true and magnetic are the same report. */
const SMALLEST_DECLINATION_DEG = 2.5;
/** Over ground this near to the sea, MSL and AGL are the same height to a report. */
const LOWEST_ELEVATION_M = 15;
const STRONGEST_MPS = 150;
const HIGHEST_M = 85_000;
const DAY_S = 86_400;
const OLDEST_S = DAY_S;
const OLDEST_CLOCK_S = 12 * 3600;
const CLOCK_TOLERANCE_S = 120;
/** r₀ of the US Standard Atmosphere 1976. */
const EARTH_RADIUS_M = 6_356_766;

const rounded = (x: number, decimals: number): number => Number(x.toFixed(decimals));

const middlePoint = (place: Place): LonLat => place.points[Math.floor((place.points.length - 1) / 2)] ?? [0, 0];

/** Standard deviation of one component from what is open along the wind and across it: the mean of both squares. */
function spreadOf(speed_mps: number, along_mps: number, across_deg: number): number {
  return Math.hypot(along_mps, speed_mps * across_deg * RAD_PER_DEG) / Math.SQRT2;
}
