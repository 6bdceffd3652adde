// The approach of a helicopter and the place of a smoke: geometry by closed forms, figures by their sources, and what
// must never be.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { approachOf, type Approach, type ApproachFound } from '../../core/recovery/approach.ts';
import { GLARE_OFF_DEG } from '../../core/recovery/final.ts';
import { Detour, hullOf } from '../../core/recovery/detour.ts';
import { fireCaution, smokeFor, type SmokeInput } from '../../core/recovery/smoke.ts';
import { caseTable } from '../../core/recovery/caseTable.ts';
import { crewBoard } from '../../core/recovery/crewBoard.ts';
import { routeOf } from '../../core/recovery/routes.ts';
import { sceneOf, type Scene } from '../../core/recovery/scene.ts';
import { readRoads } from '../../core/recovery/roads.ts';
import { PEOPLE_M } from '../../core/recovery/landable.ts';
import type { Point } from '../../core/earth/plane.ts';
import { caseOutlooks, type CaseOutlook } from '../../core/mission/caseOutlooks.ts';
import { casesOf } from '../../core/mission/cases.ts';
import { direct, inverse } from '../../core/earth/geodesic.ts';
import type { LonLat } from '../../core/base/units.ts';
import { RAD_PER_DEG, wrap180, windFrom } from '../../core/base/units.ts';
import { DEMOS, demo } from '../demo.ts';

const scenes = new Map<string, Promise<{ scene: Scene; outlooks: CaseOutlook[] }>>();
function sceneFor(name: (typeof DEMOS)[number]): Promise<{ scene: Scene; outlooks: CaseOutlook[] }> {
  const made = scenes.get(name) ?? make(name);
  scenes.set(name, made);
  return made;
}
async function make(name: (typeof DEMOS)[number]): Promise<{ scene: Scene; outlooks: CaseOutlook[] }> {
  const { situation, loaded } = await demo(name);
  const outlooks = caseOutlooks(situation, casesOf(situation.mission, situation.state).cases, { members: 60, seed: 1 });
  const scene = sceneOf({
    stage: 'before the exit',
    situation,
    cases: outlooks,
    others: [],
    roads: readRoads(loaded.roads).value,
  });
  if (scene === null) throw new Error('a scene');
  return { scene, outlooks };
}
const flown = (found: ApproachFound): Approach => {
  if (found.kind === 'none') throw new Error(found.why);
  return found.approach;
};
/** A standby that an approach can begin from: outside the region that is kept clear, as a crew's own place must be. */
function standbyAt(scene: Scene, bearing_deg: number, distance_m: number): LonLat {
  const place = direct(scene.landing, bearing_deg, distance_m);
  const outside_m = scene.clear.distance_m(...scene.frame.toLocal(place));
  return outside_m >= 1000 ? place : standbyAt(scene, bearing_deg, distance_m + 1000);
}
const planned = (outlooks: readonly CaseOutlook[]) => {
  const one = outlooks[0];
  if (one?.kind !== 'flown') throw new Error('flown');
  return one.outlook;
};

/** Distance from the origin to the stretch from a to b: the foot of the perpendicular, or the nearer end. */
function fromOrigin([ax, ay]: Point, [bx, by]: Point): number {
  const along = -(ax * (bx - ax) + ay * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2);
  const f = along > 0 ? Math.min(along, 1) : 0;
  return Math.hypot(ax + f * (bx - ax), ay + f * (by - ay));
}

describe('the way round what is kept clear', () => {
  const length = (points: readonly Point[]): number =>
    points.reduce((sum, p, i) => sum + Math.hypot(p[0] - (points[i - 1] ?? p)[0], p[1] - (points[i - 1] ?? p)[1]), 0);
  // Sixteen corners about a circle: their edges touch it.
  const round = (radius_m: number): Point[] => hullOf([[0, 0]], radius_m);
  it('is straight where nothing lies between, else two tangents and an arc: the closed form to two per cent', () => {
    const detour = new Detour([round(1000)]);
    expect(detour.way([-3000, 1200], [3000, 1200])).toEqual([
      [-3000, 1200],
      [3000, 1200],
    ]);
    const exact = 2 * Math.sqrt(3000 ** 2 - 1000 ** 2) + 1000 * (Math.PI - 2 * Math.acos(1000 / 3000));
    const found = length(detour.way([-3000, 0], [3000, 0]) ?? []);
    expect(found).toBeGreaterThanOrEqual(exact - 1e-6);
    expect(found).toBeLessThan(1.02 * exact);
  });
  it('never enters an area and has no way into one', () => {
    const number = fc.integer({ min: -6000, max: 6000 });
    let bent = 0;
    fc.assert(
      fc.property(number, number, number, number, fc.integer({ min: 50, max: 2500 }), (ax, ay, bx, by, radius_m) => {
        // The corners lie outside the circle by 1 in 51.
        if (Math.min(Math.hypot(ax, ay), Math.hypot(bx, by)) < 1.03 * radius_m) return true;
        const points = new Detour([round(radius_m)]).way([ax, ay], [bx, by]) ?? [];
        if (points.length > 2) bent += 1;
        return points.length > 1 && points.every((p, i) => fromOrigin(p, points[i + 1] ?? p) >= radius_m * (1 - 1e-6));
      }),
      { seed: 12, numRuns: 400 },
    );
    expect(bent).toBeGreaterThan(50);
    expect(new Detour([round(1000)]).way([-3000, 0], [100, 0])).toBeNull();
  });
});

describe.each(DEMOS)('approaches of %s', (name) => {
  it('from all around: into the wind, the hold outside the keep-clear region and behind the jumper, never near the open canopy', async () => {
    const { scene, outlooks } = await sceneFor(name);
    const crew = scene.crews.find((one) => one.kind === 'helicopter');
    if (crew === undefined) throw new Error('a helicopter');
    const into = windFrom(...scene.surface).from_deg;
    let seen = 0;
    for (let bearing = 0; bearing < 360; bearing += 30) {
      const standby = standbyAt(scene, bearing, 9000);
      const approach = flown(approachOf(scene, planned(outlooks), crew, standby));
      seen += 1;
      expect(Math.abs(wrap180(approach.final_deg - into))).toBeLessThanOrEqual(60);
      const [hold] = approach.gates;
      if (hold === undefined) throw new Error('gates');
      // Behind: the hold is reached against the final's heading from the jumper, within what the set-down lies aside.
      const back = inverse(approach.jumper, hold.position);
      expect(Math.abs(wrap180(back.bearing_deg - (approach.final_deg + 180)))).toBeLessThan(15);
      const own = scene.clear.ellipses[0];
      expect(back.distance_m).toBeGreaterThan((own?.semiMinor_m ?? 0) + 200);
      // 1000 ft from the canopy at every moment of the way (the weak figure that is kept).
      expect(approach.nearest?.horizontal_m ?? Infinity).toBeGreaterThan(300);
      expect(approach.warnings.filter((one) => one.includes('open canopy'))).toEqual([]);
      const heights = approach.gates.map((gate) => gate.up_m);
      expect(heights).toEqual(heights.toSorted((a, b) => b - a));
      expect(approach.gates.at(-1)?.agl_m).toBe(0);
      if (approach.setDown.kind === 'ground') expect(approach.setDown.walk_m).toBeGreaterThanOrEqual(PEOPLE_M - 1e-6);
      expect(approach.sentences.length).toBeGreaterThanOrEqual(3);
    }
    expect(seen).toBe(12);
  });
  it('leaves so as to hold at touchdown, with the canopy open', async () => {
    const { scene, outlooks } = await sceneFor(name);
    const helicopter = scene.crews.find((one) => one.kind === 'helicopter');
    if (helicopter === undefined) throw new Error('a helicopter');
    const crew = { ...helicopter, ready_s: 0 };
    const outlook = planned(outlooks);
    const { landing, opening } = outlook.prediction;
    const touchdown_s = outlook.scenario.exit.time_s + (landing?.time_s ?? 0);
    const approach = flown(approachOf(scene, outlook, crew, standbyAt(scene, 160, 6000)));
    expect(approach?.leave.on).toBe('canopy open and seen');
    expect((approach?.leave.at_s ?? 0) + (approach?.toHold_s ?? 0)).toBeCloseTo(touchdown_s, 6);
    expect(approach?.leave.at_s).toBeGreaterThan(outlook.scenario.exit.time_s + (opening?.time_s ?? 0));
    const far = flown(approachOf(scene, outlook, crew, standbyAt(scene, 160, 60_000)));
    expect((far?.leave.at_s ?? 0) + (far?.toHold_s ?? 0)).toBeGreaterThan(touchdown_s);
    expect(far?.leave.at_s).toBeCloseTo(
      Math.max(outlook.scenario.exit.time_s + (opening?.time_s ?? 0), scene.exit_s + crew.ready_s),
      6,
    );
    // Who is not ready when the canopy opens leaves when it is, and says so.
    const slow = flown(approachOf(scene, outlook, { ...crew, ready_s: 3600 }, standbyAt(scene, 160, 6000)));
    expect(slow.leave.at_s).toBeCloseTo(scene.exit_s + 3600, 6);
    expect(slow.leave.why).toMatch(/^it is ready 1\u202fh after the exit; /);
    const falls = outlooks.find((one) => one.case.kind === 'drogue only');
    if (falls?.kind !== 'flown') throw new Error('flown');
    expect(flown(approachOf(scene, falls.outlook, crew, standbyAt(scene, 160, 6000))).leave.on).toBe(
      'touchdown called',
    );
  });
  it('turns out of a low sun by no more than 30°, or says that it stands in the eyes', async () => {
    const { scene, outlooks } = await sceneFor(name);
    const crew = scene.crews.find((one) => one.kind === 'helicopter');
    if (crew === undefined) throw new Error('a helicopter');
    const outlook = planned(outlooks);
    let [turned, blinded, seen] = [0, 0, 0];
    for (let hour = 0; hour < 24; hour++) {
      const later = {
        ...outlook,
        scenario: {
          ...outlook.scenario,
          exit: { ...outlook.scenario.exit, time_s: outlook.scenario.exit.time_s + 3600 * hour },
        },
      };
      const approach = flown(approachOf(scene, later, crew, standbyAt(scene, 160, 6000)));
      const { glare } = approach;
      const off = Math.abs(wrap180(approach.final_deg - approach.intoWind_deg));
      if (off > 0) turned += 1;
      if (glare.inEyes) blinded += 1;
      seen += 1;
      if (glare.sunElevation_deg > 0 && glare.sunElevation_deg < 30 && !glare.inEyes)
        expect(glare.off_deg).toBeGreaterThanOrEqual(GLARE_OFF_DEG);
      expect(approach.warnings.some((one) => one.startsWith('The sun stands'))).toBe(glare.inEyes);
    }
    expect(seen).toBe(24);
    // On the plain the wind of the autumn morning comes from where the sun sets; over the meadow it never does within
    // 30°.
    if (name === 'salt-plain') expect(turned + blinded).toBeGreaterThan(0);
  });
  it('ways for every crew are drawn, or their absence has a reason; the board and the table say who is first', async () => {
    const { scene, outlooks } = await sceneFor(name);
    for (const crew of scene.crews) {
      const route = routeOf(scene, crew, crew.standby, scene.landing);
      if (route.kind !== 'route') throw new Error(route.why);
      const places = route.legs.flatMap((leg) => leg.line);
      expect(inverse(places[0] ?? [0, 0], crew.standby).distance_m).toBeLessThan(0.01);
      expect(inverse(places.at(-1) ?? [0, 0], scene.landing).distance_m).toBeLessThan(0.01);
      // No way is shorter than the crow's, and the drawn one takes no longer than the times that crews are judged by.
      expect(route.length_m).toBeGreaterThanOrEqual(inverse(crew.standby, scene.landing).distance_m * 0.999);
      const row = crewBoard(scene).rows.find((one) => one.crew === crew);
      if (crew.kind === 'vehicle') expect(route.time_s).toBeLessThan(1.15 * (row?.asPlanned.p95_s ?? 0) + 30);
    }
    const board = crewBoard(scene);
    const table = caseTable(outlooks, scene.mission.landingZones ?? [], board);
    expect(table.length).toBe(outlooks.length);
    for (const row of table) {
      if (row.kind !== 'lands') throw new Error(row.why);
      expect(row.sentence.startsWith(`${row.case.mark.letter} `)).toBe(true);
      expect(row.firstCrew).not.toBeNull();
      if (row.case.kind === 'drogue only') expect(row.sentence).toContain('impact at');
    }
  });
});

describe('smoke', () => {
  const base: SmokeInput = {
    from_deg: 300,
    speed_mps: 4,
    final_deg: 300,
    final_agl_m: 100,
    groundSpeed_mps: 7,
    sink_mps: 4.5,
    pattern_agl_m: 300,
    patternSide: 'left',
    touchdown_s: 10_000,
    groundCover: 'sand',
    night: false,
    refuses: () => null,
  };
  it('stands downwind of the touchdown, clear of the final, ahead of the jumper, and drifts away: for any wind and canopy', () => {
    let placed = 0;
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 1, max: 12, noNaN: true }),
        fc.double({ min: 2, max: 12, noNaN: true }),
        fc.double({ min: 3, max: 6, noNaN: true }),
        fc.constantFrom('left' as const, 'right' as const, null),
        (from_deg, speed_mps, groundSpeed_mps, sink_mps, patternSide) => {
          const smoke = smokeFor({
            ...base,
            from_deg,
            final_deg: from_deg,
            speed_mps,
            groundSpeed_mps,
            sink_mps,
            patternSide,
          });
          if (smoke.kind !== 'place') return false;
          placed += 1;
          const [e, n] = smoke.place;
          const up = [Math.sin(from_deg * RAD_PER_DEG), Math.cos(from_deg * RAD_PER_DEG)] as const;
          const ahead = e * up[0] + n * up[1];
          const aside = e * up[1] - n * up[0];
          const length = (100 * groundSpeed_mps) / sink_mps;
          // Downwind: below 0 along the wind's direction from; nearer than where the final begins; beside its line by
          // 30 m or more.
          return (
            ahead < 0 &&
            -ahead < length &&
            Math.abs(aside) >= 30 - 1e-9 &&
            (patternSide !== 'left' || aside > 0) &&
            (patternSide !== 'right' || aside < 0) &&
            smoke.seenAt_deg < 90 &&
            smoke.light_s < base.touchdown_s &&
            smoke.light_s + smoke.burns_s > base.touchdown_s
          );
        },
      ),
      { seed: 4, numRuns: 300 },
    );
    expect(placed).toBe(300);
  });
  it('stands farther downwind the stronger the wind, to a limit', () => {
    const downwind = [1, 3, 6, 9, 12].map((speed_mps) => {
      const smoke = smokeFor({ ...base, speed_mps, groundSpeed_mps: 12 });
      return smoke.kind === 'place' ? smoke.downwind_m : NaN;
    });
    expect(downwind).toEqual([28, 44, 68, 92, 100]);
  });
  it('changes sides where something stands in the way, and says so where nothing is left', () => {
    const right = smokeFor(base);
    const left = smokeFor({
      ...base,
      refuses: (place) => (right.kind === 'place' && place[0] === right.place[0] ? 'it lies in Mill Wood' : null),
    });
    expect([right, left].map((one) => (one.kind === 'place' ? one.side : one.why))).toEqual(['right', 'left']);
    expect(smokeFor({ ...base, refuses: () => 'it lies in Mill Wood' })).toMatchObject({
      kind: 'none',
      why: 'No place for a smoke beside the final: it lies in Mill Wood.',
    });
  });
  it('burns on no dry grass, and after dark nothing flares', () => {
    expect(fireCaution('dry grass').level).toBe('no flame');
    expect(fireCaution('sand').level).toBe('low');
    expect(fireCaution('grass').level).toBe('with care');
    expect(fireCaution(undefined).level).toBe('not known');
    expect(fireCaution('peat').level).toBe('not known');
    expect(smokeFor({ ...base, groundCover: 'crop' })).toMatchObject({ device: 'wind sock or panels' });
    // ref: recovery.md §2: at night no flares, no light at the pilot; mark F.
    expect(smokeFor({ ...base, night: true })).toMatchObject({ device: 'steady light' });
  });
});
