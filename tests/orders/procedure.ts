// The time of the procedure that a crew is told, by two ways: from the tables by which places are compared, and from
// the order's own way with its heights. Seconds after touchdown.
import { approachOf } from '../../core/recovery/approach.ts';
import type { Crew } from '../../core/recovery/crews.ts';
import { ReachTimes } from '../../core/recovery/reachTimes.ts';
import type { Scene, Targets } from '../../core/recovery/scene.ts';
import type { OrdersMade } from './missions.ts';

/** A person on foot, m/s, and to be let down by hoist, s: common practice, as the product has them. */
const [WALK_MPS, HOIST_S] = [1.2, 180];
/** From so far off the way to the hold takes longer than the descent under canopy: then it counts. */
const FAR_M = 25_000;

interface TwoWays {
  readonly crew: string;
  readonly promised_s: number;
  readonly briefed_s: number;
}

export function procedureTimes({ source, orders }: OrdersMade): TwoWays[] {
  const { scene } = source;
  if (scene === null) return [];
  const expected = expectedAlone(scene);
  const touchdown_s = expected.touchdown_s[0] ?? NaN;
  const counted_s = scene.stage === 'down' ? Math.max(touchdown_s, scene.at_s) : touchdown_s;
  const promised = (crew: Crew, [x, y]: readonly [number, number]): number =>
    new ReachTimes(scene, crew, expected).from(x, y)[0] ?? NaN;
  const found: TwoWays[] = [];
  for (const { crew, status, goal, standby, approach, ends } of source.crews) {
    // Who waits at the shore or on the water promises nothing.
    if (status === 'refused' || goal.name !== 'jumper' || ends !== 'goal') continue;
    const end_s =
      orders.crews
        .find(({ name }) => name === crew.name)
        ?.ways.at(-1)
        ?.points.at(-1)?.tPlus_s ?? NaN;
    const briefed_s = end_s + scene.exit_s + onFoot_s(approach) - counted_s;
    found.push({ crew: crew.name, promised_s: promised(crew, scene.frame.toLocal(standby)), briefed_s });
    if (crew.kind !== 'helicopter') continue;
    for (const turn of [0.4, 2.5, 4.6]) {
      const from = [FAR_M * Math.sin(turn), FAR_M * Math.cos(turn)] as const;
      const other = approachOf(scene, scene.outlook, crew, scene.frame.toLonLat(...from));
      if (other.kind === 'none') continue;
      const arrives_s = other.approach.arrives_s + onFoot_s(other.approach) - counted_s;
      found.push({ crew: `${crew.name} from far off`, promised_s: promised(crew, from), briefed_s: arrives_s });
    }
  }
  return found;
}

const onFoot_s = (approach: OrdersMade['source']['crews'][number]['approach']): number =>
  approach === null ? 0 : approach.setDown.kind === 'ground' ? approach.setDown.walk_m / WALK_MPS : HOIST_S;

/** The expected landing as the only one that is drawn. */
function expectedAlone({ outlook, frame, jumper, water }: Scene): Targets {
  const { landing } = outlook.prediction;
  const [first] = jumper.groups;
  if (landing === null || first === undefined) throw new Error('a landing');
  const [x, y] = frame.toLocal(landing.position);
  const one = (value: number): Float64Array => Float64Array.from([value]);
  return {
    count: 1,
    x: one(x),
    y: one(y),
    weight: one(1),
    touchdown_s: one(outlook.scenario.exit.time_s + landing.time_s),
    group: Int32Array.from([0]),
    afloat: [water.at([x, y]) !== null],
    groups: [first],
  };
}
