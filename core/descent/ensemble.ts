// Ensembles: many flights of one scenario, each with its own draw of what is not known (MODEL.md §8). Member i draws
// from the seed's stream i, so any number of workers and any cut into chunks gives the same bytes.
import { nth } from '../base/nth.ts';
import { assert } from '../base/problem.ts';
import { Random } from '../base/random.ts';
import type { Steps } from '../base/steps.ts';
import { Flight, LANDED } from './flight.ts';
import { thermalsOf, worldSamplerOf, type Scenario } from './scenario.ts';
import { drawInputs, drawVerticalAir, type Spread } from './spread.ts';
import { drawWind, meanOffset, type WindError } from './windError.ts';
import type { WindOffset } from '../winds/field.ts';

export interface EnsembleSetup {
  readonly scenario: Scenario;
  readonly error: WindError;
  readonly spread: Spread;
  readonly seed: number;
}

/** Results of members `first` to `first + count`: one row per column. NaN where a member has no such value. */
export interface Members {
  readonly first: number;
  readonly count: number;
  readonly lon_deg: Float64Array;
  readonly lat_deg: Float64Array;
  readonly elevation_m: Float64Array;
  /** Seconds from the planned exit. */
  readonly time_s: Float64Array;
  readonly groundSpeed_mps: Float64Array;
  readonly sink_mps: Float64Array;
  readonly shock_g: Float64Array;
  readonly peakSpeed_mps: Float64Array;
  readonly openingLon_deg: Float64Array;
  readonly openingLat_deg: Float64Array;
  readonly openingHeight_m: Float64Array;
  /**
   * How far the open canopy could have been driven from its drift landing, m: airspeed over sink times the height lost
   * under it. 0 without drive.
   */
  readonly reach_m: Float64Array;
}

export const MEMBER_COLUMNS = [
  'lon_deg',
  'lat_deg',
  'elevation_m',
  'time_s',
  'groundSpeed_mps',
  'sink_mps',
  'shock_g',
  'peakSpeed_mps',
  'openingLon_deg',
  'openingLat_deg',
  'openingHeight_m',
  'reach_m',
] as const satisfies readonly (keyof Members)[];

/** All columns lie in one buffer, in the order of MEMBER_COLUMNS; see `columnsOf`. */
export function emptyMembers(first: number, count: number): Members {
  return tableOn(new Float64Array(MEMBER_COLUMNS.length * count).fill(NaN), first, count);
}

/**
 * The columns of a table behind each other: what crosses from a worker in hundreds of chunks is one array each, not a
 * dozen.
 */
export function columnsOf(members: Members): Float64Array {
  const { buffer, byteOffset } = members[MEMBER_COLUMNS[0]];
  return new Float64Array(buffer, byteOffset, MEMBER_COLUMNS.length * members.count);
}

function tableOn(all: Float64Array, first: number, count: number): Members {
  return membersOf(first, count, (name) => {
    const at = MEMBER_COLUMNS.indexOf(name) * count;
    return all.subarray(at, at + count);
  });
}

function membersOf(
  first: number,
  count: number,
  column: (name: (typeof MEMBER_COLUMNS)[number]) => Float64Array,
): Members {
  return {
    first,
    count,
    lon_deg: column('lon_deg'),
    lat_deg: column('lat_deg'),
    elevation_m: column('elevation_m'),
    time_s: column('time_s'),
    groundSpeed_mps: column('groundSpeed_mps'),
    sink_mps: column('sink_mps'),
    shock_g: column('shock_g'),
    peakSpeed_mps: column('peakSpeed_mps'),
    openingLon_deg: column('openingLon_deg'),
    openingLat_deg: column('openingLat_deg'),
    openingHeight_m: column('openingHeight_m'),
    reach_m: column('reach_m'),
  };
}

const DEG = 180 / Math.PI;
/** Members flown in one step: a millisecond, or some where a canopy comes down from the stratosphere. */
const STEP = 8;

/** Flies members of one ensemble, any of them in any order. Kept between chunks: it holds the compiled flight. */
export class Ensemble {
  readonly #setup: EnsembleSetup;
  readonly #flight: Flight;
  readonly #random: Random;
  readonly #normals: Float64Array;
  readonly #known: WindOffset;
  readonly #thermals: number;
  readonly #offset: { heights_m: Float64Array; u_mps: Float64Array; v_mps: Float64Array };

  constructor(setup: EnsembleSetup) {
    this.#setup = setup;
    this.#flight = new Flight(worldSamplerOf(setup.scenario.world), setup.scenario.body);
    this.#flight.followLines();
    this.#random = new Random(setup.seed, 0);
    this.#known = meanOffset(setup.error);
    this.#thermals = thermalsOf(setup.scenario);
    const n = setup.error.heights_m.length;
    this.#normals = new Float64Array(2 * n);
    this.#offset = { heights_m: setup.error.heights_m, u_mps: new Float64Array(n), v_mps: new Float64Array(n) };
  }

  /**
   * Flies members `first` to `first + count` into a new table. A member that does not reach the ground keeps NaN and is
   * counted by it.
   */
  run(first: number, count: number): Members {
    const members = emptyMembers(first, count);
    for (let i = 0; i < count; i++) this.#member(members, i, first + i);
    return members;
  }

  /** The members from 0 on, a few of them each step. */
  *inSteps(count: number): Steps<Members> {
    const members = emptyMembers(0, count);
    for (let i = 0; i < count; i++) {
      if (i % STEP === 0) yield;
      this.#member(members, i, i);
    }
    return members;
  }

  #member(members: Members, row: number, member: number): void {
    const { scenario, error, spread, seed } = this.#setup;
    const flight = this.#flight;
    const random = this.#random;
    random.restart(seed, member);
    drawInputs(spread, random, flight.draws);
    drawWind(error, random, this.#normals, this.#offset);
    drawVerticalAir(spread, random, flight.draws, this.#thermals);
    flight.draws.seed = seed ^ 0x5bd1e995;
    flight.draws.stream = member;
    flight.fly(scenario.exit, this.#offset, null, this.#known);
    members.peakSpeed_mps[row] = flight.peakSpeed_mps;
    members.shock_g[row] = flight.shock_g;
    members.openingLon_deg[row] = flight.openingLon_rad * DEG;
    members.openingLat_deg[row] = flight.openingLat_rad * DEG;
    members.openingHeight_m[row] = flight.openingHeight_m;
    if (flight.outcome !== LANDED) return;
    members.lon_deg[row] = flight.landingLon_rad * DEG;
    members.lat_deg[row] = flight.landingLat_rad * DEG;
    members.elevation_m[row] = flight.landingHeight_m;
    members.time_s[row] = flight.landing_s + flight.draws.exitTime_s;
    members.groundSpeed_mps[row] = flight.landingGround_mps;
    members.sink_mps[row] = flight.landingSink_mps;
    members.reach_m[row] = flight.reach_m;
  }
}

const blank = (count: number): Members => tableOn(new Float64Array(MEMBER_COLUMNS.length * count), 0, count);

/**
 * Members of one run, gathered from chunks that come in any order. What is given out is the beginning of the table,
 * which is not written again, and not a copy, of which a run of 10 000 would make 2 MB.
 */
export class GatheredMembers {
  readonly #total: number;
  #table: Members;
  /** Counts of the chunks that came ahead of a gap, by their first member. */
  readonly #ahead = new Map<number, number>();
  #inOrder = 0;

  /**
   * `first`: those of the first picture. Memory for all is taken when the others come: that one is waited for, and many
   * are stopped with it.
   */
  constructor(total: number, first: number) {
    this.#total = total;
    this.#table = blank(Math.min(first, total));
  }

  /** How many are there from member 0 on. */
  get inOrder(): number {
    return this.#inOrder;
  }

  /** Members `first` to `first + count`, by their `columnsOf`. */
  put(first: number, count: number, columns: Float64Array): void {
    assert(first >= this.#inOrder && first + count <= this.#total && !this.#ahead.has(first), 'each member comes once');
    assert(columns.length === MEMBER_COLUMNS.length * count, 'a chunk has all columns');
    if (first + count > this.#table.count) {
      const all = blank(this.#total);
      for (const column of MEMBER_COLUMNS) all[column].set(this.#table[column]);
      this.#table = all;
    }
    for (let k = 0; k < MEMBER_COLUMNS.length; k++) {
      const column = this.#table[MEMBER_COLUMNS[k] as (typeof MEMBER_COLUMNS)[number]];
      for (let i = 0; i < count; i++) column[first + i] = nth(columns, k * count + i);
    }
    this.#ahead.set(first, count);
    for (let next = this.#ahead.get(this.#inOrder); next !== undefined; next = this.#ahead.get(this.#inOrder)) {
      this.#ahead.delete(this.#inOrder);
      this.#inOrder += next;
    }
  }

  /** Members 0 to `count`, all of which are there. */
  upTo(count: number): Members {
    assert(count <= this.#inOrder, 'what is given out has come');
    return membersOf(0, count, (name) => this.#table[name].subarray(0, count));
  }
}
