// What is sent of the hidden descent, in time: the sentences of the receivers, and what crews say of the wind. All that
// who sits there gets is these lines; crews go where they are told, and read their wind again when they are asked.
import { never } from '../base/problem.ts';
import { Random } from '../base/random.ts';
import { MPS_PER_KT, RAD_PER_DEG, windFrom, windVector, type LonLat } from '../base/units.ts';
import { inverse, localFrame } from '../earth/geodesic.ts';
import { aprsLine, nmeaLines } from '../formats/out/receiver.ts';
import { sourceStd_mps } from '../log/sources.ts';
import type { Situation } from '../mission/situation.ts';
import { crewsOf, type Crew } from '../recovery/crews.ts';
import { plain } from '../words/numbers.ts';
import { direction, isCalm } from '../words/winds.ts';
import { LATE_SHARE, NEVER_SHARE, type ActDone, type InstructorAct } from './acts.ts';
import type { LeadOrder } from './lead.ts';
import type { HeardLater, RehearsalScenario, Saying } from './scenario.ts';
import { hiddenTruth, momentIn, STREAMS, type HiddenTruth, type WindMet } from './truth.ts';

/** One thing that comes in: a receiver's lines, or what somebody says on the radio. */
export type Sent =
  | { readonly kind: 'fix'; readonly at_s: number; readonly body: string; readonly lines: readonly string[] }
  /** `by`: the crew that says it; null: somebody at the site. */
  | { readonly kind: 'heard'; readonly at_s: number; readonly by: string | null; readonly text: string };

/** What waits to be sent, with what it is made of. */
interface Waiting {
  readonly sent: Sent;
  readonly fix?: FixSent;
  readonly report?: HeardLater;
}

/** When nothing comes of a body; while it lasts, to infinity. */
interface Silence {
  readonly body: string;
  readonly from_s: number;
  to_s: number;
}

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

/** A wind that is measured and said: how, and what is wrong in it. */
type Telling = Pick<HeardLater, 'source' | 'agl_m' | 'says'>;

const TOLD_NOW = { source: 'crew', agl_m: 2 } as const;
const JUMPER = 'jumper';

export class Simulator {
  #truth: HiddenTruth;
  readonly #scenario: RehearsalScenario;
  readonly #situation: Situation;
  readonly #seed: number;
  readonly #random: Random;
  readonly #crews: readonly CrewOut[];
  /** What is not sent yet. */
  #waiting: Waiting[];
  #crewFix_s: number;
  readonly #silences: Silence[] = [];
  /** The next fix of each behind its time is wild, by so much. */
  #wild: readonly { readonly body: string; readonly from_s: number; readonly off_m: readonly [number, number] }[] = [];
  /** Every wind that was said or will be. */
  said: readonly WindSaid[] = [];
  /** The jumper's, as they were sent. */
  readonly fixes: FixSent[] = [];
  /** What the instructor set off, in order. */
  readonly acts: ActDone[] = [];

  constructor(situation: Situation, scenario: RehearsalScenario, truth: HiddenTruth, seed: number) {
    this.#truth = truth;
    this.#scenario = scenario;
    this.#situation = situation;
    this.#seed = seed;
    this.#random = new Random(seed, STREAMS.reports);
    this.#crews = crewsOf(situation.mission, situation.state).map((crew) => new CrewOut(crew));
    this.#crewFix_s = truth.begins_s;
    this.#waiting = this.#jumperFixes();
    for (const report of scenario.reports) this.#sayLater(report, truth.begins_s);
  }

  /** The hidden descent, as it is by what the instructor has set off. */
  get truth(): HiddenTruth {
    return this.#truth;
  }

  get crews(): readonly string[] {
    return this.#crews.map(({ crew }) => crew.name);
  }

  /** Whose fixes are sent, as the log names them. */
  get bodies(): readonly string[] {
    return [JUMPER, ...this.crews];
  }

  /** Of which none comes, by the instructor. */
  silent(at_s: number): readonly string[] {
    return this.bodies.filter((body) => this.#isSilent(body, at_s));
  }

  /** What came since the last time, in order. */
  until(at_s: number): readonly Sent[] {
    for (; this.#crewFix_s <= at_s; this.#crewFix_s += CREW_EVERY_S) this.#sendCrews(this.#crewFix_s);
    this.#waiting.sort((a, b) => a.sent.at_s - b.sent.at_s);
    const later = this.#waiting.findIndex(({ sent }) => sent.at_s > at_s);
    return this.#waiting.splice(0, later < 0 ? this.#waiting.length : later).flatMap((one) => this.#passed(one));
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

  /** Sets off what the instructor wants; a sentence where it cannot be, and nothing is changed then. */
  act(act: InstructorAct, at_s: number): string | null {
    const why = this.#setOff(act, at_s);
    if (why === null) this.acts.push({ at_s, act });
    return why;
  }

  #setOff(act: InstructorAct, at_s: number): string | null {
    if ('body' in act && !this.bodies.includes(act.body)) return `nothing sends fixes of ${act.body}`;
    switch (act.kind) {
      case 'fixes stop':
        if (this.#isSilent(act.body, at_s)) return `fixes of ${act.body} are stopped already`;
        this.#silences.push({ body: act.body, from_s: at_s, to_s: Infinity });
        return null;
      case 'fixes come back': {
        const silence = this.#silences.find(({ body, to_s }) => body === act.body && to_s > at_s);
        if (silence === undefined) return `fixes of ${act.body} were not stopped`;
        silence.to_s = at_s;
        return null;
      }
      case 'wild fix': {
        const toward = 2 * Math.PI * this.#random.uniform();
        const off_m = [WILD_M * Math.sin(toward), WILD_M * Math.cos(toward)] as const;
        this.#wild = [...this.#wild, { body: act.body, from_s: at_s, off_m }];
        return null;
      }
      case 'wind said': {
        const out = this.#crews.find(({ crew }) => crew.name === act.crew);
        if (act.crew !== null && out === undefined) return `the plan has no crew ${act.crew}`;
        this.#say(out, { ...TOLD_NOW, says: act.says }, at_s);
        return null;
      }
      case 'opening':
        return this.#openOtherwise(act.becomes, at_s);
      default:
        return never(act);
    }
  }

  /** The same draws with another opening: up to the opening that was planned it is the same descent. */
  #openOtherwise(becomes: 'late' | 'none', at_s: number): string | null {
    const { opening_s } = this.#truth;
    if (opening_s === null) return 'nothing opens in this descent';
    if (at_s >= opening_s) return 'the canopy is open already';
    const opensAt = becomes === 'none' ? NEVER_SHARE : LATE_SHARE * this.#scenario.opensAt;
    const truth = hiddenTruth(this.#situation, { ...this.#scenario, opensAt }, this.#seed);
    if (typeof truth === 'string') return truth;
    if (becomes === 'none' ? truth.opening_s !== null : !((truth.opening_s ?? Infinity) > opening_s))
      return 'this plan opens at no height, so it cannot be made to open otherwise';
    this.#truth = truth;
    const isLater = ({ sent, fix, report }: Waiting): boolean =>
      sent.at_s > at_s && (fix !== undefined || report?.when.from === 'opening' || report?.when.from === 'touchdown');
    const dropped = this.#waiting.filter(isLater);
    const texts = new Set(dropped.flatMap(({ sent }) => (sent.kind === 'heard' ? [`${sent.at_s} ${sent.text}`] : [])));
    this.said = this.said.filter((one) => !texts.has(`${one.at_s} ${one.text}`));
    this.#waiting = this.#waiting.filter((one) => !isLater(one));
    this.#waiting.push(...this.#jumperFixes().filter(({ sent }) => sent.at_s > at_s));
    for (const { report } of dropped) if (report !== undefined) this.#sayLater(report, at_s);
    return null;
  }

  #isSilent(body: string, at_s: number): boolean {
    return this.#silences.some((one) => one.body === body && at_s >= one.from_s && at_s < one.to_s);
  }

  /** What of a thing that waited is sent: all, nothing, or a wild fix in its place. */
  #passed({ sent, fix }: Waiting): readonly Sent[] {
    if (sent.kind === 'heard') return [sent];
    const { body, at_s } = sent;
    if (this.#isSilent(body, at_s)) return [];
    const wild = this.#wild.find((one) => one.body === body && at_s > one.from_s);
    if (wild === undefined) {
      if (fix !== undefined) this.fixes.push(fix);
      return [sent];
    }
    this.#wild = this.#wild.filter((one) => one !== wild);
    const truly = this.#whereIs(body, at_s);
    const position = localFrame(truly.position).toLonLat(...wild.off_m);
    if (fix !== undefined) this.fixes.push({ time_s: at_s, position });
    return [{ ...sent, lines: linesOf(body, { time_s: at_s, position, height_m: truly.height_m }) }];
  }

  #whereIs(body: string, time_s: number): { readonly position: LonLat; readonly height_m: number } {
    const out = this.#crews.find(({ crew }) => crew.name === body);
    if (out === undefined) return this.#truth.jumperAt(time_s);
    const position = out.at(time_s);
    return { position, height_m: this.#groundAt(position) };
  }

  /** It says what it measured, in the same words but for what was wrong in them: a reading of that moment. */
  #askAgain(by: string, asked_s: number): void {
    const last = this.said.findLast((one) => one.by === by && one.at_s <= asked_s);
    if (last === undefined) return;
    const at_s = asked_s + AGAIN_S.least + AGAIN_S.more * this.#random.uniform();
    const again = { ...last, at_s, text: last.text.replace(/, .*$/, `, ${windWord(last.measured, 'right')}`) };
    this.said = [...this.said, again];
    this.#waiting.push({ sent: { kind: 'heard', at_s, by, text: again.text } });
  }

  /** What the jumper's receiver sends, but for what the instructor does to it. */
  #jumperFixes(): Waiting[] {
    const { begins_s, touchdown_s, jumperAt } = this.#truth;
    const { every_s, noise_m, wild, gaps } = this.#scenario.fixes;
    const random = new Random(this.#seed, STREAMS.fixes);
    const silent = gaps.flatMap(({ when, for_s }) => {
      const from_s = momentIn(this.#truth, when);
      return from_s === null ? [] : [{ from_s, to_s: from_s + for_s }];
    });
    const fixes: Waiting[] = [];
    for (let time_s = begins_s + every_s * random.uniform(); time_s < touchdown_s + AFTER_S; time_s += every_s) {
      const isWild = random.uniform() < wild;
      const off_m = isWild ? WILD_M : noise_m;
      const [east_m, north_m, up_m] = [random.normal(), random.normal(), random.normal()];
      if (silent.some(({ from_s, to_s }) => time_s >= from_s && time_s < to_s)) continue;
      const { position: truly, height_m: true_m } = jumperAt(time_s);
      const position = localFrame(truly).toLonLat(off_m * east_m, off_m * north_m);
      const lines = linesOf(JUMPER, { time_s, position, height_m: true_m + off_m * up_m });
      fixes.push({ sent: { kind: 'fix', at_s: time_s, body: JUMPER, lines }, fix: { time_s, position } });
    }
    return fixes;
  }

  #sendCrews(time_s: number): void {
    for (const { crew } of this.#crews) {
      const lines = linesOf(crew.name, { time_s, ...this.#whereIs(crew.name, time_s) });
      this.#waiting.push({ sent: { kind: 'fix', at_s: time_s, body: crew.name, lines } });
    }
  }

  #groundAt([lon, lat]: LonLat): number {
    return this.#situation.world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  }

  /** A wind of the scenario, where its moment is not before `from_s` and comes at all. */
  #sayLater(report: HeardLater, from_s: number): void {
    const at_s = momentIn(this.#truth, report.when);
    if (at_s === null || at_s < from_s) return;
    this.#say(this.#crews[(report.crew - 1) % Math.max(this.#crews.length, 1)], report, at_s, report);
  }

  #say(out: CrewOut | undefined, { source, agl_m, says }: Telling, at_s: number, report?: HeardLater): void {
    const place = out?.at(at_s) ?? this.#situation.mission.site.position;
    const truly = this.#truth.windAt(place, agl_m, at_s);
    const [u, v] = windVector(truly.from_deg, truly.speed_mps);
    const std_mps = this.#scenario.errors * sourceStd_mps(source, this.#groundAt(place) + agl_m);
    const measured = windFrom(u + std_mps * this.#random.normal(), v + std_mps * this.#random.normal());
    const by = out?.crew.name ?? null;
    const who = [source === 'pilot-balloon' ? 'pilot balloon' : '', by ?? ''].filter((word) => word !== '').join(' ');
    const text = `${who === '' ? 'wind' : who} ${plain(agl_m, 0)} m agl, ${windWord(measured, says)}`;
    this.said = [...this.said, { at_s, by, measured, text }];
    this.#waiting.push({ sent: { kind: 'heard', at_s, by, text }, ...(report === undefined ? {} : { report }) });
  }
}

/** As the receiver of each sends it. */
const linesOf = (body: string, fix: Parameters<typeof aprsLine>[1]): readonly string[] =>
  body === JUMPER ? nmeaLines(fix) : [aprsLine(body, fix)];

/** A wind as it is said on the radio, in knots, with what may be wrong in it. */
function windWord(measured: WindMet, says: Saying): string {
  const { from_deg, speed_mps } = says === 'another wind' ? anotherThan(measured) : measured;
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
    'another wind': `${knots} kt`,
  }[says];
  return `${side} true, ${said}`;
}

/** Across the measured wind, and well above it: what the others say of it does not go with this. Ours. */
const ANOTHER = { turned_deg: 100, times: 1.6, least_mps: 5 } as const;

const anotherThan = ({ from_deg, speed_mps }: WindMet): WindMet => ({
  from_deg: from_deg + ANOTHER.turned_deg,
  speed_mps: Math.max(ANOTHER.times * speed_mps, ANOTHER.least_mps),
});
