// The plan of a mission, `plumbline/mission` version 1: what each key holds and between which bounds
// (FORMAT.md). Names carry their unit; positions are [longitude, latitude] in degrees; times ISO 8601 UTC;
// directions true; winds FROM.
import { z } from 'zod';

const finite = z.number();
const positive = z.number().positive();
const notNegative = z.number().min(0);

export const time = z.iso.datetime({
  offset: false,
  error: 'expected an ISO 8601 time in UTC, such as 2026-03-14T06:00:00Z',
});
export const lonLat = z.tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)]).readonly();
const line = z.array(lonLat).min(2).readonly();
const ring = z.array(lonLat).min(3).readonly();
const height = z.number().min(-500).max(85_000);

/** Knots [argument, value] of a piecewise linear function, arguments rising; the end values hold outside. */
const knots = z
  .array(z.tuple([finite, finite]).readonly())
  .min(1)
  .refine(
    (rows) => rows.every((row, i) => i === 0 || row[0] > (rows[i - 1]?.[0] ?? -Infinity)),
    'expected first numbers that rise',
  )
  .readonly();

/** Some words: a name of blanks alone names nothing. */
const someWords = z.string().regex(/\S/, 'expected some words');

export const windLevel = z.looseObject({
  height_m: height,
  from_deg: z.number().min(0).max(360),
  speed_mps: z.number().min(0).max(150),
  temperature_K: z.number().min(130).max(340).optional(),
  dewPoint_K: z.number().min(100).max(340).optional(),
  pressure_Pa: z.number().positive().max(110_000).optional(),
  /** Where the level came from when not from the forecast's own source: a file, or a person's hand. */
  source: z.string().optional(),
  /** A struck level stays in the file and does not count. */
  struck: z.boolean().optional(),
});

export const trigger = z.union([
  z.strictObject({ agl_m: notNegative }),
  z.strictObject({ msl_m: height }),
  z.strictObject({ after_s: notNegative }),
  z.strictObject({ machBelow: positive }),
]);

export const stage = z.looseObject({
  name: z.string().min(1),
  dragArea_m2: positive,
  machFactor: knots.optional(),
  /** Whether the stage is a drogue's, for the cases in which it fails; left out: its name says so. */
  drogue: z.boolean().optional(),
  /** What ends the stage. The last stage of a body without canopy may leave it out: it lasts to the ground. */
  until: trigger.optional(),
});

export const steering = z.discriminatedUnion('policy', [
  z.looseObject({ policy: z.literal('drift') }),
  z.looseObject({ policy: z.literal('hold'), heading_deg: z.number().min(0).max(360) }),
  z.looseObject({ policy: z.literal('into wind') }),
  /** To the named zone's middle, or to a position; without either, to the first zone. */
  z.looseObject({ policy: z.literal('to target'), zone: z.string().optional(), position: lonLat.optional() }),
  z.looseObject({
    policy: z.literal('pattern'),
    zone: z.string().optional(),
    position: lonLat.optional(),
    /** Heights above ground at which downwind, base and final begin. */
    downwind_agl_m: positive.optional(),
    base_agl_m: positive.optional(),
    final_agl_m: positive.optional(),
    turn: z.enum(['left', 'right']).optional(),
    /** Heading of the final leg; left out: into the surface wind. */
    landing_deg: z.number().min(0).max(360).optional(),
  }),
  z.looseObject({ policy: z.literal('random'), every_s: positive }),
]);

export const canopySetting = z.looseObject({ name: z.string().min(1), airspeed_mps: notNegative, sink_mps: positive });

export const canopy = z
  .looseObject({
    referenceMass_kg: positive,
    fill_s: notNegative.optional(),
    /** The way through the air over which it fills, in place of a time. */
    fillDistance_m: positive.optional(),
    fillExponent: positive.optional(),
    settings: z.array(canopySetting).min(1),
    setting: z.string().optional(),
    steering: steering.optional(),
  })
  .refine(
    ({ fill_s, fillDistance_m }) => fill_s !== undefined || fillDistance_m !== undefined,
    'expected fill_s, a time, or fillDistance_m, a way through the air',
  );

/** A falling body: the jumper, the gondola, the balloon's envelope. */
export const body = z.looseObject({ mass_kg: positive, stages: z.array(stage).min(1), canopy: canopy.optional() });

export const jumper = body.extend({
  /** Chooses the default wind limits. */
  experience: z.enum(['student', 'licensed', 'expert']).optional(),
  /** What ends the last stage; left out: a hand. */
  opens: z.enum(['by hand', 'by device']).optional(),
  reserve: z.looseObject({ opensAt_agl_m: positive, canopy }).optional(),
  oxygen_s: positive.optional(),
  /** What keeps the jumper afloat where a landing may be in water. */
  /** What a medic must know beforehand. */
  patient: z
    .looseObject({
      age_years: notNegative.max(120).optional(),
      bloodGroup: someWords.optional(),
      allergies: someWords.optional(),
      medication: someWords.optional(),
      nationality: someWords.optional(),
    })
    .optional(),
  /** Suit and oxygen, for whoever is there first. */
  suit: z
    .looseObject({
      opens: someWords.optional(),
      underPressure: someWords.optional(),
      burns: someWords.optional(),
    })
    .optional(),
  flotation: z.enum(['none', 'life jacket', 'immersion suit', 'other']).optional(),
});

/** Released from the carrier: `after_s` after the jumper's exit, or at a time. */
export const gondola = body.extend({
  release: z.union([z.strictObject({ after_s: notNegative }), z.strictObject({ time })]).optional(),
});

export const carrier = z.discriminatedUnion('kind', [
  z.looseObject({
    kind: z.literal('balloon'),
    launch: z.looseObject({ position: lonLat, elevation_m: height, time }),
    ascentRate_mps: knots.optional(),
    float_m: height,
    /** Longest float before the flight is ended; bounds the exit window. */
    float_s: positive.optional(),
  }),
  z.looseObject({
    kind: z.literal('aircraft'),
    altitude_m: height,
    airspeed_mps: positive,
    /** The time over the middle of the run. */
    time,
    /** Heading of the run, true. Left out: into the wind at exit height. */
    heading_deg: z.number().min(0).max(360).optional(),
    /** A place that the run passes through; left out: the exit position. */
    through: lonLat.optional(),
    run_s: positive.optional(),
  }),
]);

export const exit = z.looseObject({
  position: lonLat,
  altitude_m: height,
  time,
  velocity_mps: z.tuple([finite, finite, finite]).readonly().optional(),
});

export const landingZone = z.looseObject({
  name: z.string().min(1),
  polygon: ring,
  surface: z.string().optional(),
  note: z.string().optional(),
});

/**
 * `kind` is free text; the program knows power line, river, ridge, road, homestead, fence, trees, building, water, sea,
 * lake, canal, island, town, cliff.
 */
export const hazard = z.union([
  z.looseObject({ name: z.string().min(1), kind: z.string(), polygon: ring, height_m: notNegative.optional() }),
  z.looseObject({
    name: z.string().min(1),
    kind: z.string(),
    line,
    height_m: notNegative.optional(),
    /** Places where a vehicle can cross a river or fence. */
    crossings: z.array(lonLat).optional(),
  }),
]);

export const landmark = z.union([
  z.looseObject({ name: z.string().min(1), position: lonLat }),
  z.looseObject({ name: z.string().min(1), line }),
]);

export const team = z.looseObject({
  name: z.string().min(1),
  kind: z.enum(['helicopter', 'vehicle', 'boat']),
  /** Its base; of a boat where it is launched. */
  position: lonLat,
  speed_mps: positive,
  ready_s: notNegative.optional(),
  endurance_s: positive.optional(),
  /** What the crew is there for; left out: the jumper. */
  serves: z.enum(['jumper', 'gondola', 'both']).optional(),
  medical: z.boolean().optional(),
  /** A fixed crew is not moved by the placement. */
  fixed: z.boolean().optional(),
  standby: lonLat.optional(),
  seats: z.number().int().positive().optional(),
  hoist: z.boolean().optional(),
  slope_deg_max: positive.optional(),
  /** Most wind on the ground, gusts with it, in which a helicopter flies. */
  wind_mps_max: positive.optional(),
  reserve_s: notNegative.optional(),
  cruise_agl_m: positive.optional(),
  offRoad_mps: positive.optional(),
  mass_kg: positive.optional(),
  rotor_m: positive.optional(),
  /** Whether the crew may fly after the end of evening civil twilight. */
  night: z.boolean().optional(),
  /** How a helicopter waits: with its engines off, burning nothing, or with its rotor turning. Left out: shut down. */
  waits: z.enum(['shut down', 'running']).optional(),
  /** What the crew sees to each side when it searches, both sides together, and how fast it searches. */
  sweepWidth_m: positive.optional(),
  search_mps: positive.optional(),
  /** How the crew reads coordinates. */
  coordinates: z.enum(['degrees', 'degrees-minutes', 'MGRS']).optional(),
  /** On the radio; left out: its name. */
  callSign: someWords.optional(),
  telephone: someWords.optional(),
});

export const uncertainty = z.looseObject({
  wind: z
    .looseObject({
      std_mps: knots.optional(),
      correlationLength_m: knots.optional(),
      correlationTime_s: positive.optional(),
      correlationDistance_m: positive.optional(),
      /** The part of the variance that is common to the whole column. */
      bulk: z.number().min(0).max(1).optional(),
    })
    .optional(),
  mass_kg: notNegative.optional(),
  dragArea_rel: notNegative.optional(),
  canopySink_rel: notNegative.optional(),
  canopyAirspeed_rel: notNegative.optional(),
  fill_s: notNegative.optional(),
  fillDistance_rel: notNegative.optional(),
  exitPosition_m: notNegative.optional(),
  exitTime_s: notNegative.optional(),
  carrierPath_rel: notNegative.optional(),
  ascentRate_rel: notNegative.optional(),
  triggerHeight_m: notNegative.optional(),
  handOpening_m: notNegative.optional(),
  bodyGlide_rel: notNegative.optional(),
  spin_rel: notNegative.optional(),
  turnLoss_rel: notNegative.optional(),
  verticalAir_mps: notNegative.optional(),
  heading_deg: notNegative.optional(),
  accuracy_m: notNegative.optional(),
});

/**
 * A limit of the go / hold / no-go table: its number, and whose number it is. The names stand in
 * `core/advice/limits.ts`.
 */
export const limits = z.record(
  z.string(),
  z.union([z.number(), z.looseObject({ value: z.number(), source: z.string().optional() })]),
);

/** A what-if: a weight, and the changes that it makes to the plan. The kinds stand in `core/mission/caseKinds.ts`. */
export const missionCase = z.looseObject({
  name: z.string().min(1),
  kind: z.string(),
  weight: notNegative.optional(),
  note: z.string().optional(),
  /** Height MSL at which the canopy opens high, or the jumper leaves during the ascent. */
  height_m: height.optional(),
  /** How much later than planned the jumper leaves. */
  delay_s: notNegative.optional(),
  /** Leaves the case out altogether; a weight of 0 keeps it in the table and out of the placement. */
  off: z.boolean().optional(),
  /**
   * What the plan's keys become in this case, as RFC 7396 merges them: groups key by key, lists as a whole, null
   * removes.
   */
  changes: z.record(z.string(), z.unknown()).optional(),
});

/**
 * What the placement of the crews weighs and keeps clear; the defaults stand in `placementCost.ts` and `keepClear.ts`
 * of `core/recovery/`.
 */
export const placement = z.looseObject({
  /**
   * Weights against the expected time to the jumper: of the worst tenth's mean, of the gondola's crew, of the crews
   * that come second.
   */
  worstTenth: notNegative.optional(),
  gondola: notNegative.optional(),
  second: notNegative.optional(),
  /** A helicopter keeps this far from where a canopy may come down. */
  rotorWash_m: notNegative.optional(),
});

/** An item of a list of the lead's: what is said and read back. */
export const listItem = z.looseObject({
  name: someWords,
  /** Who answers it. */
  who: z.string().optional(),
  /** Whether the word holds until the item is read back. */
  gates: z.boolean().optional(),
});

/** A list of the lead's: its items are read back one by one, each with time and who, in the log. */
export const leadList = z.looseObject({
  name: someWords,
  /** Whose practice it is. */
  note: z.string().optional(),
  items: z.array(listItem),
});

/** A current is named by where it sets, a wind by where it comes from. */
export const water = z.looseObject({
  current: z.looseObject({ toward_deg: z.number().min(0).max(360), speed_mps: notNegative.max(10) }).optional(),
});

export const hospital = z.looseObject({
  name: z.string().min(1),
  position: lonLat,
  /** What a pilot must know of its pad: surface, size, lights, obstacles, who answers. */
  pad: z.string().optional(),
  telephone: z.string().optional(),
});

export const forecast = z.looseObject({
  source: z.string(),
  validTime: time,
  /** What it is; left out: a forecast. An observed profile's age is the time since `validTime`. */
  kind: z.enum(['forecast', 'observed', 'climate']).optional(),
  /** When the model started: a forecast's lead is `validTime` minus this. Left out: no lead is counted. */
  runTime: time.optional(),
  /** Where it holds; left out: at the site. */
  position: lonLat.optional(),
  levels: z.array(windLevel),
});

export const mission = z.looseObject({
  format: z.literal('plumbline/mission'),
  version: z.literal(1),
  name: z.string(),
  notes: z.string().optional(),
  /** A copy that is only trained with: it is marked so wherever it is shown (`read.ts` puts it before the name). */
  rehearsal: z.boolean().optional(),
  site: z.looseObject({
    name: z.string(),
    position: lonLat,
    elevation_m: height,
    roughness_m: positive.max(5).optional(),
    timeZone: z.string().optional(),
    terrain: z.string().optional(),
    /**
     * Ground cover for the fire caution and the dust of a landing helicopter: grass, dry grass, crop, scrub, forest,
     * sand, gravel, snow.
     */
    groundCover: z.string().optional(),
  }),
  carrier: carrier.optional(),
  exit,
  jumper,
  gondola: gondola.optional(),
  envelope: body.optional(),
  winds: z
    .looseObject({
      forecast: z.array(forecast).optional(),
      files: z.array(z.string()).optional(),
      /** The station taken from files that hold several. */
      station: z.string().optional(),
      /** Files that a person took although they are from far away, of other days or without a date, and why. */
      taken: z
        .array(
          z.looseObject({
            file: z.string(),
            reason: z.string().min(1),
            /** When its winds are valid, where the file says no date. */
            validTime: time.optional(),
          }),
        )
        .optional(),
    })
    .optional(),
  landingZones: z.array(landingZone).optional(),
  hazards: z.array(hazard).optional(),
  landmarks: z.array(landmark).optional(),
  teams: z.array(team).optional(),
  roads: z.string().optional(),
  uncertainty: uncertainty.optional(),
  limits: limits.optional(),
  cases: z.array(missionCase).optional(),
  lists: z.array(leadList).optional(),
  placement: placement.optional(),
  /** Where a patient is flown: a helicopter's fuel reaches there and home. */
  hospital: hospital.optional(),
  /** Who speaks where: the first is everybody's. */
  channels: z.array(z.looseObject({ use: someWords, channel: someWords })).optional(),
  /** How the place of pick-up is marked. */
  marking: someWords.optional(),
  /** Who decides on what, in place of the brief's own words. */
  decides: someWords.optional(),
  /** What moves somebody who lies in the water. */
  water: water.optional(),
  /** Weights of the zone fit, by the names in `core/advice/zoneFit.ts`. */
  zoneWeights: z.record(z.string(), notNegative).optional(),
  visibility_m: positive.optional(),
  cloud: z.looseObject({ base_agl_m: notNegative, cover_oktas: z.number().min(0).max(8).optional() }).optional(),
});

/**
 * `leftOut`: what of the document could not be read, by key; `doubtful`: what in it cannot be meant, in words. Not keys
 * of the document (`read.ts` puts them there).
 */
export type Mission = z.infer<typeof mission> & {
  readonly leftOut?: readonly string[];
  readonly doubtful?: readonly string[];
};
export type Body = z.infer<typeof body>;
export type Jumper = z.infer<typeof jumper>;
export type Stage = z.infer<typeof stage>;
export type Canopy = z.infer<typeof canopy>;
export type CanopySetting = z.infer<typeof canopySetting>;
export type Steering = z.infer<typeof steering>;
export type Carrier = z.infer<typeof carrier>;
export type Exit = z.infer<typeof exit>;
export type LandingZone = z.infer<typeof landingZone>;
export type Hazard = z.infer<typeof hazard>;
export type Landmark = z.infer<typeof landmark>;
export type Team = z.infer<typeof team>;
export type Uncertainty = z.infer<typeof uncertainty>;
export type Limits = z.infer<typeof limits>;
export type MissionCase = z.infer<typeof missionCase>;
export type LeadList = z.infer<typeof leadList>;
export type MissionWindLevel = z.infer<typeof windLevel>;
