// What moves on the map and what is repainted: the landing's slide of 200 ms, and the sheets that a changed
// scene touches.
import { describe, expect, test } from 'vitest';
import { changes } from '../../renderer/map/changes.ts';
import { emptyScene, type MapScene } from '../../renderer/map/scene.ts';
import { Slide } from '../../renderer/map/slide.ts';
import { summaryOf, thingsOf } from '../../renderer/map/things.ts';
import { elapsed } from '../../renderer/map/wording.ts';
import { placeAtTime, turnsRight } from '../../renderer/map/paintSpread.ts';
import { palettes } from '../../renderer/theme/roles.ts';
import { contrast } from '../contrast.ts';
import type { Units } from '../../core/words/numbers.ts';
import type { LonLat } from '../../core/base/units.ts';

const units: Units = { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' };
const scene: MapScene = emptyScene({ name: 'Somewhere', position: [10, 45], elevation_m: 300 }, units);
const here: LonLat = [10, 45];
const there: LonLat = [10.01, 45.01];

describe('the slide of the landing', () => {
  test('goes from old to new in 200 ms, slow at both ends, and keeps where it came from', () => {
    const slide = new Slide(() => false);
    slide.follow(null, here, false);
    slide.follow(here, there, false);
    expect(slide.sliding).toBe(true);
    expect(slide.at(1000)).toEqual({ at: here, from: here });
    const middle = slide.at(1100);
    expect(middle?.at[0]).toBeCloseTo(10.005, 9);
    expect((slide.at(1020)?.at[0] ?? NaN) - 10).toBeLessThan(0.1 * 0.01);
    expect(slide.at(1200)).toEqual({ at: there, from: here });
    expect(slide.sliding).toBe(false);
  });

  test('with reduced motion it is there at once, and still says from where', () => {
    const slide = new Slide(() => true);
    slide.follow(here, there, false);
    expect(slide.sliding).toBe(false);
    expect(slide.at(5)).toEqual({ at: there, from: here });
  });

  test('while a handle is held the landing follows the hand, and came from where the hand began', () => {
    const slide = new Slide(() => false);
    slide.follow(null, here, false);
    slide.follow(here, [10.002, 45], true);
    slide.follow([10.002, 45], [10.004, 45], true);
    expect(slide.sliding).toBe(false);
    expect(slide.at(0)).toEqual({ at: [10.004, 45], from: here });
  });

  test('a metre is not a move, and no landing does not move', () => {
    const slide = new Slide(() => false);
    slide.follow(here, [10.000001, 45], false);
    expect(slide.sliding).toBe(false);
    expect(slide.at(0)).toEqual({ at: [10.000001, 45], from: null });
    slide.follow(here, null, false);
    expect(slide.at(0)).toBeNull();
  });

  test('across the date line it takes the short way', () => {
    const slide = new Slide(() => false);
    slide.follow([179.99, 0], [-179.99, 0], false);
    slide.at(0);
    expect(slide.at(100)?.at[0]).toBeCloseTo(180, 9);
  });
});

describe('what a changed scene repaints', () => {
  test('the same scene nothing; another track its marks and not the ground; another zone the ground and its words, not the spread', () => {
    expect(changes(scene, scene)).toEqual([]);
    expect(changes(scene, { ...scene })).toEqual([]);
    const track = { points: [], parts: [], extrapolated: [], winds: [] };
    expect(changes(scene, { ...scene, track })).toEqual(['marks']);
    expect(changes(scene, { ...scene, zones: [] }).sort()).toEqual(['ground', 'marks']);
    expect(changes(scene, { ...scene, terrain: null })).toEqual([]);
    expect(changes(scene, { ...scene, units: { ...units } }).length).toBe(4);
  });
});

describe('the map in words', () => {
  test('every thing with a name is in the list, with its place', () => {
    const full: MapScene = {
      ...scene,
      surfaceWind: { from_deg: 90, speed_mps: 3.6, toward: 'Long Ridge' },
      zones: [
        {
          name: 'Field',
          polygon: [
            [10, 45],
            [10.01, 45],
            [10.01, 45.01],
          ],
        },
      ],
      chances: { Field: 0.6 },
      hazards: [
        {
          name: 'Wires',
          kind: 'power line',
          line: [
            [10, 45],
            [10.1, 45],
          ],
          height_m: 30,
        },
      ],
      landmarks: [{ name: 'Mast', position: [10.02, 45.02] }],
      crews: [{ name: 'Team 2', kind: 'vehicle', position: here, movable: true }],
      exit: { position: here, height_m: 3800, at_s: 0, movable: true },
      landing: { name: 'landing', position: there, height_m: 300, t_s: 210, at_s: 210 },
      dots: new Float32Array(20),
    };
    const things = thingsOf(full);
    expect(things.map((thing) => `${thing.kind} ${thing.name}`)).toEqual([
      'landing landing',
      'exit Exit',
      'zone Field',
      'hazard Wires',
      'landmark Mast',
      'site Somewhere',
      'crew Team 2',
    ]);
    expect(things[3]?.words).toContain('30\u202fm AGL');
    expect(things[0]?.words).toContain('00:03:30Z');
    expect(summaryOf(full).join(' ')).toContain('from 090° (east), 7\u202fkt, blowing toward Long Ridge');
    expect(summaryOf(full).join(' ')).toContain('10 sampled landings');
  });

  test('time since exit', () => {
    expect([0, 83, 3753, -61].map((t) => elapsed(t))).toEqual(['+0:00', '+1:23', '+1:02:33', '\u22121:01']);
  });
});

describe('the words on the map', () => {
  // ref: WCAG 2.2 success criterion 1.4.3, 4.5:1; labels stand on a halo of the map's ground.
  test('are legible in every role that writes them, in both looks', () => {
    for (const look of ['day', 'night'] as const) {
      for (const role of ['ink', 'quiet', 'accent', 'wind', 'zone', 'hazard', 'canopy', 'spread', 'caution'] as const) {
        expect(contrast(palettes[look][role], palettes[look].map), `${role} by ${look}`).toBeGreaterThanOrEqual(4.5);
      }
    }
  });
});

describe('the exit line', () => {
  const points = [
    { position: [179.9, 10] as LonLat, at_s: 100, height_m: 1 },
    { position: [-179.9, 10.2] as LonLat, at_s: 200, height_m: 1 },
  ];
  test('gives the carrier\u2019s place at a time, the short way over 180°, and none outside its times', () => {
    const place = placeAtTime({ points, window: null }, 150);
    expect(place?.[0]).toBeCloseTo(180, 9);
    expect(place?.[1]).toBeCloseTo(10.1, 9);
    expect(placeAtTime({ points, window: null }, 99)).toBeNull();
  });
  test('which way a ring turns tells its inside', () => {
    // Screen axes: x right, y down. Right, down, left: clockwise.
    expect(turnsRight([0, 0, 10, 0, 10, 10])).toBe(true);
    expect(turnsRight([0, 0, 10, 10, 10, 0])).toBe(false);
  });
});
