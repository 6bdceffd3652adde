// Where to set a smoke so that the jumper sees it on final and it stays off the touchdown, when to light it, and
// whether it may be lit at all on this ground. Placed downwind of the touchdown, clear of it (reference/recovery.md §2,
// mark M); its numbers are ours.
import { isCalm, direction } from '../words/winds.ts';
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { DEG_PER_RAD, RAD_PER_DEG, wrap360 } from '../base/units.ts';
import type { Point } from '../earth/plane.ts';

/** A hand-held signal burns about this long. Common practice. */
const BURN_S = 90;
/** Downwind of the touchdown: so much, and so much more for each m/s of wind, at most. */
const DOWNWIND_M = 20;
const DOWNWIND_M_PER_MPS = 8;
const DOWNWIND_M_MAX = 100;
/** Beside the line of the final: at least, at most, and what a plume spreads to a side for each metre downwind. */
const ASIDE_M = 30;
const ASIDE_M_MAX = 80;
const PLUME_SPREAD = 0.2;
/** In a calm smoke goes anywhere: it stands this far off. */
const CALM_M = 80;

type Fire = 'no flame' | 'with care' | 'low' | 'not known';

interface FireCaution {
  readonly level: Fire;
  readonly sentence: string;
}

const NO_FLAME: ReadonlySet<string> = new Set(['dry grass', 'crop', 'scrub', 'forest', 'heath', 'stubble', 'hay']);
const LOW: ReadonlySet<string> = new Set(['sand', 'gravel', 'snow', 'salt', 'rock', 'water', 'bare ground']);

/** The caution by ground cover; local fire orders go before it. */
export function fireCaution(groundCover: string | undefined): FireCaution {
  const orders = 'Local fire orders go before this.';
  if (groundCover === undefined || groundCover === '')
    return {
      level: 'not known',
      sentence: `The ground cover is not given: look at it before anything burns. ${orders}`,
    };
  if (NO_FLAME.has(groundCover))
    return {
      level: 'no flame',
      sentence: `On ${groundCover} nothing that burns: a wind sock, streamers or panels instead. ${orders}`,
    };
  if (LOW.has(groundCover))
    return { level: 'low', sentence: `On ${groundCover} a smoke may burn, set on bare ground and watched. ${orders}` };
  if (groundCover === 'grass')
    return {
      level: 'with care',
      sentence: `On grass a smoke on a metal plate only, an extinguisher beside it, until it is cold. ${orders}`,
    };
  return {
    level: 'not known',
    sentence: `Whether "${groundCover}" burns is not known here: look before anything is lit. ${orders}`,
  };
}

export interface SmokeInput {
  /** Surface wind. */
  readonly from_deg: number;
  readonly speed_mps: number;
  /** Heading of the final, where it begins above ground, speed over the ground and sink on it. */
  readonly final_deg: number;
  readonly final_agl_m: number;
  readonly groundSpeed_mps: number;
  readonly sink_mps: number;
  /** Where the pattern begins, above ground: the smoke burns from there. */
  readonly pattern_agl_m: number;
  /** Side on which the pattern is flown, looking along the final; null: none. */
  readonly patternSide: 'left' | 'right' | null;
  readonly touchdown_s: number;
  readonly groundCover: string | undefined;
  readonly night: boolean;
  /** Why a place, metres east and north of the touchdown, does not serve; null where it does. */
  readonly refuses: (place: Point) => string | null;
}

export type Smoke =
  | {
      readonly kind: 'place';
      /** East and north of the touchdown. */
      readonly place: Point;
      readonly downwind_m: number;
      readonly aside_m: number;
      readonly side: 'left' | 'right';
      /** Heading of the jumper's final, true. */
      readonly final_deg: number;
      /** What is set there. */
      readonly device: 'smoke' | 'wind sock or panels' | 'steady light';
      /** Angle off the nose at which the jumper sees it where the final begins. */
      readonly seenAt_deg: number;
      readonly light_s: number;
      readonly burns_s: number;
      readonly fire: FireCaution;
      readonly sentence: string;
    }
  | { readonly kind: 'none'; readonly why: string; readonly fire: FireCaution };

export function smokeFor(input: SmokeInput): Smoke {
  const fire = fireCaution(input.groundCover);
  const calm = isCalm(input.speed_mps);
  const length = (input.final_agl_m * Math.max(input.groundSpeed_mps, 1)) / input.sink_mps;
  // The final comes from downwind: the smoke stands nearer than where the final begins, or it would be under it and
  // behind.
  const downwind_m = Math.min(
    calm ? DOWNWIND_M : Math.min(DOWNWIND_M + DOWNWIND_M_PER_MPS * input.speed_mps, DOWNWIND_M_MAX),
    length / 2,
  );
  const aside_m = calm ? CALM_M : Math.min(Math.max(PLUME_SPREAD * (length - downwind_m), ASIDE_M), ASIDE_M_MAX);
  const back_deg = calm ? input.final_deg + 180 : input.from_deg + 180;
  const first = input.patternSide === 'right' ? 'left' : 'right';
  const sides = first === 'left' ? (['left', 'right'] as const) : (['right', 'left'] as const);
  let refused = '';
  for (const side of sides) {
    const place = placeOf(back_deg, input.final_deg, downwind_m, aside_m, side);
    const why = input.refuses(place);
    if (why !== null) {
      refused = why;
      continue;
    }
    return placed(input, fire, { place, downwind_m, aside_m, side }, length);
  }
  return { kind: 'none', why: `No place for a smoke beside the final: ${refused}.`, fire };
}

function placeOf(
  back_deg: number,
  final_deg: number,
  downwind_m: number,
  aside_m: number,
  side: 'left' | 'right',
): Point {
  const back = back_deg * RAD_PER_DEG;
  const across = (final_deg + (side === 'right' ? 90 : -90)) * RAD_PER_DEG;
  return [
    downwind_m * Math.sin(back) + aside_m * Math.sin(across),
    downwind_m * Math.cos(back) + aside_m * Math.cos(across),
  ];
}

type Set = Pick<Extract<Smoke, { kind: 'place' }>, 'place' | 'downwind_m' | 'aside_m' | 'side'>;

/** `length`: of the final, m. */
function placed(input: SmokeInput, fire: FireCaution, set: Set, length: number): Smoke {
  const { place, downwind_m, aside_m, side } = set;
  const final = input.final_deg * RAD_PER_DEG;
  // From where the final begins, as far behind the touchdown as it is long.
  const [e, n] = [place[0] + length * Math.sin(final), place[1] + length * Math.cos(final)];
  const seenAt_deg =
    Math.abs(Math.atan2(e * Math.cos(final) - n * Math.sin(final), e * Math.sin(final) + n * Math.cos(final))) *
    DEG_PER_RAD;
  const before_s = Math.min(input.pattern_agl_m / input.sink_mps + 15, BURN_S - 10);
  const device = input.night ? 'steady light' : fire.level === 'no flame' ? 'wind sock or panels' : 'smoke';
  const to_deg = Math.round(wrap360(input.from_deg + 180));
  const where = `${distance(downwind_m)} downwind of the touchdown and ${distance(aside_m)} to the ${side} of the final`;
  const what =
    device === 'smoke'
      ? `Smoke ${where}, lit ${roughDuration(before_s)} before touchdown, the canopy about ` +
        `${distance(before_s * input.sink_mps)} up; it drifts toward ${direction(to_deg)}, away from the touchdown.`
      : device === 'steady light'
        ? `After dark no flare: a steady light ${where}, never toward a pilot.`
        : `${device[0]?.toUpperCase()}${device.slice(1)} ${where}.`;
  return {
    kind: 'place',
    ...set,
    final_deg: input.final_deg,
    device,
    seenAt_deg,
    light_s: input.touchdown_s - before_s,
    burns_s: BURN_S,
    fire,
    sentence: `${what} ${fire.sentence}`,
  };
}
