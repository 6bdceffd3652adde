// One line on its way from its parts to an event: what is open is asked, what is known is converted, what cannot be is
// refused.
import { isoOf, roundTo } from '../../../base/plainNumbers.ts';
import type { ReportSource } from '../../../log/events.ts';
import type { Place } from '../../../words/places.ts';
import { RAD_PER_DEG, wrap360, type LonLat } from '../../../base/units.ts';
import { directionWords } from '../../../words/winds.ts';
import { trimmed } from '../../../words/numbers.ts';
import { fromOf } from './directions.ts';
import { saysCalm, type DirectionPart, type Parts, type SpeedPart } from './parts.ts';
import { heightOf, timeInHeight, timeOf } from './heights.ts';
import { Open } from './open.ts';
import { readBackWords, type ReadBack } from './readBack.ts';
import type { Answers, NewReport, ReportContext, ReportReading } from './types.ts';
import { M_PER, MPS_PER, type SpeedUnit } from './vocabulary.ts';

const STRONGEST_MPS = 150;
/** The same in the smallest unit that there is, km/h: more is not a speed whatever the unit. */
const STRONGEST = 540;
/** Above this a wind of 100 kt and more is no surprise. */
const JET_M = 3000;

/** Reads the parts of a line: an event with its words, or the questions that are open, or why it is not a report. */
export function readParts(text: string, context: ReportContext, answers: Answers, said: Parts): ReportReading {
  const open = new Open(context, answers);
  const parts = inOrder(said, open);
  if (parts.aerodrome !== null) askWhere(parts.aerodrome, open);
  const who = whoOf(parts, open);
  const calm = saysCalm(parts) || parts.calm;
  const direction = calm ? null : fromOf(parts, who, open);
  const speed = speedOf(parts, open);
  const height = heightOf(parts.heights[0], who, open);
  const time = answers.heightUnit === 'time of day' ? timeInHeight(parts.heights[0]) : null;
  const observed_s = timeOf(parts.times[0] ?? time ?? undefined, open);
  if (open.why !== null) return { kind: 'refused', why: open.why };
  if (open.questions.length > 0)
    return { kind: 'ask', questions: open.questions, words: partial(parts, who.words, open.notes) };
  if (speed === null || height === null || observed_s === null) return { kind: 'refused', why: 'incomplete' };
  const variable = parts.variable || parts.lightVariable;
  const still = speed.mean_mps === 0;
  const from_deg = variable || still ? null : (direction?.from_deg ?? null);
  const spread_mps = still
    ? speed.spread_mps / Math.SQRT2
    : spreadOf(speed.mean_mps, speed.spread_mps, direction?.std_deg ?? 0);
  const event: NewReport = {
    kind: 'wind-report',
    id: context.nextId,
    source: who.source,
    ...(who.by === null ? {} : { by: who.by }),
    observedAt: isoOf(Math.round(observed_s)),
    ...(who.place === null ? {} : { place: who.place.name, position: middlePoint(who.place) }),
    ...(height.agl_m === undefined ? {} : { agl_m: roundTo(height.agl_m, 1) }),
    ...(height.height_m === undefined ? {} : { height_m: roundTo(height.height_m, 1) }),
    from_deg: from_deg === null ? 0 : roundTo(from_deg, 1),
    speed_mps: roundTo(speed.mean_mps, 3),
    ...(speed.gust_mps === null ? {} : { gust_mps: roundTo(speed.gust_mps, 3) }),
    ...(spread_mps >= 0.05 ? { spread_mps: roundTo(spread_mps, 2) } : {}),
    ...(variable ? { variable: true } : {}),
    text,
  };
  const back: ReadBack = {
    ...speed,
    from_deg,
    speed_mps: speed.mean_mps,
    variable,
    agl_m: event.agl_m,
    height_m: event.height_m,
    flightLevel: height.flightLevel,
    who: who.words,
    observed_s,
    now_s: context.now_s,
    notes: open.notes,
  };
  const words = readBackWords(back, context, who.vantage);
  return { kind: 'read', event, words, from_deg, toward_deg: from_deg === null ? null : wrap360(from_deg + 180) };
}

/** "40/270 kt": which of the two is the direction. Asked where both readings are possible. */
function inOrder(parts: Parts, open: Open): Parts {
  const [direction] = parts.directions;
  const [speed] = parts.speeds;
  if (parts.order === null || direction?.kind !== 'degrees' || speed === undefined) return parts;
  const [height] = parts.heights;
  const high =
    height?.kind === 'flight level' ||
    (height?.kind === 'height' && height.unit !== null && height.value * M_PER[height.unit] >= JET_M);
  if (high && direction.digits.length === 3) return parts;
  const swapped: Parts = {
    ...parts,
    directions: [{ ...direction, digits: parts.order.digits, value: speed.low }, ...parts.directions.slice(1)],
    speeds: [{ ...speed, low: direction.value, high: direction.value }],
  };
  if (open.answers.order !== undefined) return open.answers.order === 'speed first' ? swapped : parts;
  const unit = speed.unit === null ? '' : ` ${speed.unit}`;
  open.ask('direction or speed first', [
    { key: 'd', meaning: `${direction.digits}°, ${speed.low}${unit}`, resolves: { order: 'direction first' } },
    { key: 's', meaning: `${parts.order.digits}°, ${direction.value}${unit}`, resolves: { order: 'speed first' } },
  ]);
  return parts;
}

function askWhere(aerodrome: string, open: Open): void {
  if (open.answers.measured === 'elsewhere')
    open.refuse(`${aerodrome} lies elsewhere; give its wind as a station's with its place, or leave it out`);
  if (open.answers.measured !== undefined) return;
  open.ask('measured here or elsewhere', [
    { key: 'h', meaning: `${aerodrome} is here, at the site`, resolves: { measured: 'here' } },
    { key: 'e', meaning: `${aerodrome} lies elsewhere: not entered`, resolves: { measured: 'elsewhere' } },
  ]);
}

interface Who {
  readonly source: ReportSource;
  readonly by: string | null;
  readonly place: Place | null;
  readonly vantage: LonLat;
  readonly ground_m: number;
  readonly flies: boolean;
  readonly words: string;
}

/** Source, crew, place, and where one stands to see what lies toward where. */
function whoOf(parts: Parts, open: Open): Who {
  const { context } = open;
  let by: string | null = null;
  let place: Place | null = null;
  for (const { names, at } of parts.mentions) {
    const name = open.chosen(names);
    if (name === null) continue;
    const isTeam = context.teams.some((one) => one.name === name);
    if (isTeam && !at && (by === null || by === name)) by = name;
    else if (!isTeam && place === null) place = context.places.find((one) => one.name === name) ?? null;
    else open.refuse(`two crews or two places in one line: ${names.join(', ')}`);
  }
  const high = parts.heights.some((one) => one.kind === 'flight level');
  const named = parts.source ?? (by !== null ? 'crew' : parts.weatherFormat ? 'station' : high ? 'aircraft' : null);
  const source = named ?? 'estimate';
  const team = context.teams.find((one) => one.name === by);
  const vantage = team?.position ?? (place === null ? context.site.position : middlePoint(place));
  const isHere = team === undefined && place === null;
  const base = named === null ? 'source not said, weighed as an estimate' : source.replace('-', ' ');
  return {
    source,
    by,
    place,
    vantage,
    ground_m: isHere ? context.site.elevation_m : (context.groundAt?.(vantage) ?? context.site.elevation_m),
    flies: team?.flies === true && place === null,
    words: [base, by ?? '', place === null ? '' : `at ${place.name}`].filter((one) => one !== '').join(' '),
  };
}

interface Speed {
  readonly mean_mps: number;
  readonly spread_mps: number;
  readonly range: readonly [number, number] | null;
  readonly gust_mps: number | null;
  readonly unit: SpeedUnit;
}

function speedOf(parts: Parts, open: Open): Speed | null {
  const gust = parts.gusts[0] ?? null;
  const part: SpeedPart | undefined = parts.calm
    ? { low: 0, high: 0, unit: 'kt', orMore: false }
    : parts.lightVariable
      ? { low: 0, high: 5, unit: 'kt', orMore: false }
      : parts.speeds[0];
  if (part === undefined) return null;
  const none = part.high === 0 && gust === null;
  const { answers, context } = open;
  if (!(part.high <= STRONGEST)) return open.refuse(`a speed of ${trimmed(part.high, 1)}; expected up to ${STRONGEST}`);
  const unit = part.unit ?? gust?.unit ?? answers.speedUnit ?? context.speedUnit ?? (none ? 'kt' : null);
  if (unit === null) {
    return open.ask('knots or m/s', [
      { key: 'k', meaning: 'knots', resolves: { speedUnit: 'kt' } },
      { key: 'm', meaning: 'm/s', resolves: { speedUnit: 'm/s' } },
      { key: 'h', meaning: 'km/h', resolves: { speedUnit: 'km/h' } },
      { key: 'i', meaning: 'miles an hour', resolves: { speedUnit: 'mph' } },
    ]);
  }
  const [low, high] = [part.low * MPS_PER[unit], part.high * MPS_PER[unit]];
  const gust_mps = gust === null ? null : gust.high * MPS_PER[gust.unit ?? unit];
  if (!(high <= STRONGEST_MPS && (gust_mps ?? 0) <= STRONGEST_MPS))
    return open.refuse(`a wind of ${trimmed(Math.max(high, gust_mps ?? 0), 0)} m/s; expected 0 to ${STRONGEST_MPS}`);
  if (gust_mps !== null && gust_mps < (low + high) / 2)
    return open.refuse('the gust is below the mean; one of the two is wrong');
  if (part.orMore) open.notes.push('that much or more: the report’s format ends there');
  if (parts.swing !== null && !isWithin(parts.swing, parts.directions[0]))
    return open.refuse(
      `the mean direction lies outside ${parts.swing[0]}° to ${parts.swing[1]}°; one of them is wrong`,
    );
  if (parts.swing !== null) open.notes.push(`swinging from ${parts.swing[0]}° to ${parts.swing[1]}°`);
  return {
    mean_mps: (low + high) / 2,
    spread_mps: (high - low) / Math.sqrt(12),
    range: high > low ? [low, high] : null,
    gust_mps,
    unit,
  };
}

/** Whether a mean direction lies in the sector, clockwise, over which it is said to swing. */
const isWithin = ([from_deg, to_deg]: readonly [number, number], mean: DirectionPart | undefined): boolean =>
  mean?.kind !== 'degrees' || wrap360(mean.value - from_deg) <= wrap360(to_deg - from_deg);

/** What is understood so far, for the line beside the question. */
function partial(parts: Parts, who: string, notes: readonly string[]): string {
  const directionText = (part: DirectionPart): string => {
    if (part.kind === 'name') return part.names.join(' or ');
    return part.kind === 'degrees' ? `${part.digits}°` : directionWords(part.point.direction_deg);
  };
  const [direction] = parts.directions;
  const [speed] = parts.speeds;
  const said = [
    direction === undefined ? '' : directionText(direction),
    speed === undefined
      ? ''
      : `${speed.low === speed.high ? speed.low : `${speed.low} to ${speed.high}`} ${speed.unit ?? ''}`.trim(),
    who,
    ...notes,
  ];
  return said.filter((one) => one !== '').join(', ');
}

const middlePoint = (place: Place): LonLat => place.points[Math.floor((place.points.length - 1) / 2)] ?? [0, 0];

/** Standard deviation of one component from what is open along the wind and across it: the mean of both squares. */
function spreadOf(speed_mps: number, along_mps: number, across_deg: number): number {
  return Math.hypot(along_mps, speed_mps * across_deg * RAD_PER_DEG) / Math.SQRT2;
}
