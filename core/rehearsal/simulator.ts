// What is sent of the hidden descent, in time: the sentences of the receivers, and what crews say of the wind. All that
// who sits there gets is these lines; crews go where they are told, and read their wind again when they are asked.
import { Random } from '../base/random.ts';
import { MPS_PER_KT, RAD_PER_DEG, windFrom, windVector, type LonLat } from '../base/units.ts';
import { inverse, localFrame } from '../earth/geodesic.ts';
import { aprsLine, nmeaLines } from '../formats/out/receiver.ts';
import { sourceStd_mps } from '../log/sources.ts';
import type { Situation } from '../mission/situation.ts';
import { crewsOf, type Crew } from '../recovery/crews.ts';
import { plain } from '../words/numbers.ts';
import { direction, isCalm } from '../words/winds.ts';
import type { LeadOrder } from './lead.ts';
import type { HeardLater, RehearsalScenario, Saying } from './scenario.ts';
import { momentIn, STREAMS, type HiddenTruth, type WindMet } from './truth.ts';

/** One thing that comes in: a receiver's lines, or what somebody says on the radio. */
export type Sent =
  | { readonly kind: 'fix'; readonly at_s: number; readonly body: string; readonly lines: readonly string[] }
  | { readonly kind: 'heard'; readonly at_s: number; readonly text: string };

/** A wind that was said, beside what was measured. */
export interface WindSaid {
  readonly at_s: number;
  /** Null where the plan has no crew: somebody at the site. */
  readonly by: string | null;
  readonly measured: WindMet;
  readonly text: string;
}

/** A fix of the jumper as it was sent. */
export interface FixSent {
  readonly time_s: number;
  readonly position: LonLat;
}

/** Crews send their place so often, s. */
const CREW_EVERY_S = 15;
/** A wild fix lies so far off, one standard deviation an axis, m. */
const WILD_M = 3000;
/** The receiver goes on so long after the touchdown, s. */
const AFTER_S = 90;
/** A crew that was asked answers after so long at least, and so much longer at most, s. Ours. */
const AGAIN_S = { least: 15, more: 15 } as const;
/** Somebody who is called to a place sees the person from there, and goes on; so long a crew is waited for, s. Ours. */
const CREWS_UNTIL_S = 1800;

/** A stretch of a crew's way: straight, so a river or a fence is crossed as if it were not there. */
interface Leg {
  readonly from: LonLat;
  readonly to: LonLat;
  readonly leaves_s: number;
  readonly arrives_s: number;
}

class CrewOut {
  readonly crew: Crew;
  #place: LonLat;
  #legs: readonly Leg[] = [];

  constructor(crew: Crew) {
    this.crew = crew;
    this.#place = crew.heard?.position ?? crew.standby;
  }

  get arrives_s(): number | null {
    return this.#legs.at(-1)?.arrives_s ?? null;
  }

  at(time_s: number): LonLat {
    const leg = this.#legs.findLast(({ leaves_s }) => leaves_s <= time_s);
    if (leg === undefined) return this.#place;
    const share = Math.min((time_s - leg.leaves_s) / Math.max(leg.arrives_s - leg.leaves_s, 1e-9), 1);
    const frame = localFrame(leg.from);
    const [east_m, north_m] = frame.toLocal(leg.to);
    return frame.toLonLat(share * east_m, share * north_m);
  }

  /** To where it was told, and from there to the person. */
  go(told: LonLat, person: LonLat, at_s: number): void {
    const { kind, speed_mps, offRoad_mps, ready_s } = this.crew;
    this.#place = this.at(at_s);
    const legs: Leg[] = [];
    let [from, leaves_s] = [this.#place, at_s + ready_s];
    for (const to of [told, person]) {
      const takes_s = inverse(from, to).distance_m / (kind === 'helicopter' ? speed_mps : offRoad_mps);
      legs.push({ from, to, leaves_s, arrives_s: leaves_s + takes_s });
      [from, leaves_s] = [to, leaves_s + takes_s];
    }
    this.#legs = legs;
  }
}

export class Simulator {
  readonly #truth: HiddenTruth;
  readonly #scenario: RehearsalScenario;
  readonly #situation: Situation;
  readonly #seed: number;
  readonly #random: Random;
  readonly #crews: readonly CrewOut[];
  /** What is not sent yet, by time. */
  #waiting: Sent[] = [];
  #crewFix_s: number;
  /** Every wind that was said or will be. */
  readonly said: WindSaid[] = [];
  readonly fixes: FixSent[] = [];

  constructor(situation: Situation, scenario: RehearsalScenario, truth: HiddenTruth, seed: number) {
    this.#truth = truth;
    this.#scenario = scenario;
    this.#situation = situation;
    this.#seed = seed;
    this.#random = new Random(seed, STREAMS.reports);
    this.#crews = crewsOf(situation.mission, situation.state).map((crew) => new CrewOut(crew));
    this.#crewFix_s = truth.begins_s;
    this.#sendFixes();
    for (const report of scenario.reports) {
      const at_s = momentIn(truth, report.when);
      if (at_s !== null && at_s >= truth.begins_s) this.#say(report, at_s);
    }
    this.#waiting.sort((a, b) => a.at_s - b.at_s);
  }

  /** What came since the last time, in order. */
  until(at_s: number): readonly Sent[] {
    for (; this.#crewFix_s <= at_s; this.#crewFix_s += CREW_EVERY_S) this.#sendCrews(this.#crewFix_s);
    this.#waiting.sort((a, b) => a.at_s - b.at_s);
    const later = this.#waiting.findIndex((one) => one.at_s > at_s);
    return this.#waiting.splice(0, later < 0 ? this.#waiting.length : later);
  }

  /** Whether nothing more is to be seen: the jumper is down, and the crews that were sent are there. */
  isOver(at_s: number): boolean {
    const { touchdown_s } = this.#truth;
    if (at_s >= touchdown_s + CREWS_UNTIL_S) return true;
    const last_s = Math.max(...this.#crews.map(({ arrives_s }) => arrives_s ?? -Infinity), touchdown_s + AFTER_S);
    return at_s > last_s + CREW_EVERY_S;
  }

  /** What a crew is told: to go to a place, from where it sees the person, or to read its wind again. */
  take(order: LeadOrder, at_s: number): void {
    if (order.kind === 'say again') this.#askAgain(order.crew, at_s);
    else this.#crews.find(({ crew }) => crew.name === order.crew)?.go(order.place, this.#truth.landing, at_s);
  }

  /** It says what it measured, in the same words but for what was wrong in them: a reading of that moment. */
  #askAgain(by: string, asked_s: number): void {
    const last = this.said.findLast((one) => one.by === by && one.at_s <= asked_s);
    if (last === undefined) return;
    const at_s = asked_s + AGAIN_S.least + AGAIN_S.more * this.#random.uniform();
    const again = { ...last, at_s, text: last.text.replace(/, .*$/, `, ${windWord(last.measured, 'right')}`) };
    this.said.push(again);
    this.#waiting.push({ kind: 'heard', at_s, text: again.text });
  }

  #sendFixes(): void {
    const { begins_s, touchdown_s, jumperAt } = this.#truth;
    const { every_s, noise_m, wild, gaps } = this.#scenario.fixes;
    const random = new Random(this.#seed, STREAMS.fixes);
    const silent = gaps.flatMap(({ when, for_s }) => {
      const from_s = momentIn(this.#truth, when);
      return from_s === null ? [] : [{ from_s, to_s: from_s + for_s }];
    });
    for (let time_s = begins_s + every_s * random.uniform(); time_s < touchdown_s + AFTER_S; time_s += every_s) {
      const isWild = random.uniform() < wild;
      const off_m = isWild ? WILD_M : noise_m;
      const [east_m, north_m, up_m] = [random.normal(), random.normal(), random.normal()];
      if (silent.some(({ from_s, to_s }) => time_s >= from_s && time_s < to_s)) continue;
      const { position: truly, height_m: true_m } = jumperAt(time_s);
      const position = localFrame(truly).toLonLat(off_m * east_m, off_m * north_m);
      const lines = nmeaLines({ time_s, position, height_m: true_m + off_m * up_m });
      this.fixes.push({ time_s, position });
      this.#waiting.push({ kind: 'fix', at_s: time_s, body: 'jumper', lines });
    }
  }

  #sendCrews(time_s: number): void {
    for (const { crew, at } of this.#crews.map((one) => ({ crew: one.crew, at: one.at(time_s) }))) {
      const lines = [aprsLine(crew.name, { time_s, position: at, height_m: this.#groundAt(at) })];
      this.#waiting.push({ kind: 'fix', at_s: time_s, body: crew.name, lines });
    }
  }

  #groundAt([lon, lat]: LonLat): number {
    return this.#situation.world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  }

  #say({ crew: nth, source, agl_m, says }: HeardLater, at_s: number): void {
    const out = this.#crews[(nth - 1) % Math.max(this.#crews.length, 1)];
    const place = out?.at(at_s) ?? this.#situation.mission.site.position;
    const truly = this.#truth.windAt(place, agl_m, at_s);
    const [u, v] = windVector(truly.from_deg, truly.speed_mps);
    const std_mps = this.#scenario.errors * sourceStd_mps(source, this.#groundAt(place) + agl_m);
    const measured = windFrom(u + std_mps * this.#random.normal(), v + std_mps * this.#random.normal());
    const by = out?.crew.name ?? null;
    const who = [source === 'pilot-balloon' ? 'pilot balloon' : '', by ?? ''].filter((word) => word !== '').join(' ');
    const text = `${who === '' ? 'wind' : who} ${plain(agl_m, 0)} m agl, ${windWord(measured, says)}`;
    this.said.push({ at_s, by, measured, text });
    this.#waiting.push({ kind: 'heard', at_s, text });
  }
}

/** A wind as it is said on the radio, in knots, with what may be wrong in it. */
function windWord({ from_deg, speed_mps }: WindMet, says: Saying): string {
  if (isCalm(speed_mps)) return 'calm';
  const side = direction(5 * Math.round((says === 'toward for from' ? from_deg + 180 : from_deg) / 5));
  const knots = plain(Math.max(speed_mps / MPS_PER_KT, 1), 0);
  const metres = plain(speed_mps, 1);
  const said = {
    right: `${knots} kt`,
    'toward for from': `${knots} kt`,
    'knots as m/s': `${knots} m/s`,
    'm/s as knots': `${metres} kt`,
    'no unit': knots,
  }[says];
  return `${side} true, ${said}`;
}
