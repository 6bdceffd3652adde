// The placing of labels: what must hold whatever is asked. No outside source applies; the statements are the promises
// of
// `renderer/map/labels.ts`, checked on any input.
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import {
  boxesAlong,
  inside,
  meets,
  overlap,
  placeLabels,
  spotsAround,
  spotsOn,
  turnedSize,
  type Box,
  type LabelWish,
} from '../../core/base/labels.ts';
import { besideRing } from '../../renderer/map/paintSpread.ts';

const area: Box = { x: 0, y: 0, width: 780, height: 740 };
const none: ReadonlyMap<string, number> = new Map();

const marks = fc.array(
  fc.record({
    x: fc.integer({ min: -50, max: 830 }),
    y: fc.integer({ min: -50, max: 790 }),
    width: fc.integer({ min: 20, max: 180 }),
    height: fc.integer({ min: 14, max: 48 }),
    priority: fc.integer({ min: 0, max: 30 }),
  }),
  { minLength: 10, maxLength: 60, size: 'max' },
);
const boxes = fc.array(
  fc.record({
    x: fc.integer({ min: 0, max: 780 }),
    y: fc.integer({ min: 0, max: 740 }),
    width: fc.integer({ min: 5, max: 60 }),
    height: fc.integer({ min: 5, max: 60 }),
  }),
  { maxLength: 30 },
);

interface Mark {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly priority: number;
}

const wishes = (all: readonly Mark[]): LabelWish[] =>
  all.map((mark, i) => ({
    id: `label ${i}`,
    priority: mark.priority,
    width: mark.width,
    height: mark.height,
    spots: spotsAround(mark, mark, 12, 1 + (i % 3)),
  }));

const run = { numRuns: 300, seed: 20270314 };

describe('placing labels', () => {
  test('no two overlap, none leaves the map, none covers what is blocked, and each stands on a spot of its own wish', () => {
    let pairs = 0;
    fc.assert(
      fc.property(marks, boxes, boxes, (all, blocked, unwelcome) => {
        const asked = wishes(all);
        const placed = placeLabels(asked, { area, blocked, unwelcome }, none);
        placed.forEach((label, i) => {
          expect(inside(label, area)).toBe(true);
          for (const box of blocked) expect(overlap(label, box)).toBe(false);
          const wish = asked.find((one) => one.id === label.id);
          expect(wish?.spots[label.spot]).toEqual({ x: label.x, y: label.y });
          for (const other of placed.slice(i + 1)) {
            expect(overlap(label, other)).toBe(false);
            pairs += 1;
          }
        });
      }),
      run,
    );
    expect(pairs).toBeGreaterThan(10_000);
  });

  test('a label is left out only where every spot of it is taken by what is more important', () => {
    let dropped = 0;
    fc.assert(
      fc.property(marks, boxes, (all, blocked) => {
        const asked = wishes(all);
        const placed = placeLabels(asked, { area, blocked, unwelcome: [] }, none);
        const ids = new Set(placed.map((label) => label.id));
        asked.forEach((wish, index) => {
          if (ids.has(wish.id)) return;
          dropped += 1;
          const above = placed.filter((label) => {
            const at = asked.findIndex((one) => one.id === label.id);
            const other = asked[at];
            return (
              other !== undefined &&
              (other.priority < wish.priority || (other.priority === wish.priority && at < index))
            );
          });
          for (const spot of wish.spots) {
            const box = { ...spot, width: wish.width, height: wish.height };
            const free =
              inside(box, area) && !blocked.some((one) => overlap(box, one)) && !above.some((one) => overlap(box, one));
            expect(free).toBe(false);
          }
        });
      }),
      run,
    );
    expect(dropped).toBeGreaterThan(200);
  });

  test('a less important label added changes nothing for those above it', () => {
    fc.assert(
      fc.property(marks, boxes, (all, unwelcome) => {
        const without = placeLabels(wishes(all), { area, blocked: [], unwelcome }, none);
        const size = { width: 90, height: 20 };
        const late = { id: 'late', priority: 99, ...size, spots: spotsAround({ x: 400, y: 300 }, size, 10) };
        const withIt = placeLabels([...wishes(all), late], { area, blocked: [], unwelcome }, none);
        expect(withIt.filter((label) => label.id !== 'late')).toEqual(without);
      }),
      run,
    );
  });

  test('what was placed stays where it is when nothing else changed', () => {
    fc.assert(
      fc.property(marks, boxes, boxes, (all, blocked, unwelcome) => {
        const first = placeLabels(wishes(all), { area, blocked, unwelcome }, none);
        const again = placeLabels(
          wishes(all),
          { area, blocked, unwelcome },
          new Map(first.map((label) => [label.id, label.spot])),
        );
        expect(again).toEqual(first);
      }),
      run,
    );
  });

  test('a label keeps its side when a better one comes free, unless it is much better', () => {
    const size = { width: 60, height: 20 };
    const wish = { id: 'a', priority: 1, ...size, spots: spotsAround({ x: 300, y: 300 }, size, 10) };
    const kept = placeLabels([wish], { area, blocked: [], unwelcome: [] }, new Map([['a', 2]]));
    expect(kept[0]?.spot).toBe(2);
    const moved = placeLabels([wish], { area, blocked: [], unwelcome: [] }, new Map([['a', 7]]));
    expect(moved[0]?.spot).toBe(0);
  });

  test('a label avoids a track where it can, and stands on it where it must', () => {
    const size = { width: 60, height: 20 };
    const wish = { id: 'a', priority: 1, ...size, spots: spotsAround({ x: 300, y: 300 }, size, 10) };
    const toTheRight = boxesAlong([300, 300, 500, 300], 14, 8);
    expect(placeLabels([wish], { area, blocked: [], unwelcome: toTheRight }, none)[0]?.spot).toBe(1);
    const everywhere = [{ x: 0, y: 0, width: 780, height: 740 }];
    expect(placeLabels([wish], { area, blocked: [], unwelcome: everywhere }, none)[0]?.spot).toBe(0);
  });
});

describe('leaders', () => {
  test('no leader crosses another label, and a label apart from its mark has one', () => {
    let leaders = 0;
    fc.assert(
      fc.property(marks, boxes, (all, blocked) => {
        const asked = all.map((mark, i) => ({
          ...mark,
          id: `label ${i}`,
          spots: spotsAround(mark, mark, 12, 4),
          leader: { from: mark, gap: 12, after: 8 },
        }));
        const placed = placeLabels(asked, { area, blocked, unwelcome: [] }, none);
        for (const label of placed) {
          expect(label.leader !== undefined).toBe(label.spot >= 8);
          if (label.leader === undefined) continue;
          leaders += 1;
          for (const other of placed) if (other !== label) expect(meets(label.leader, other)).toBe(false);
        }
      }),
      run,
    );
    expect(leaders).toBeGreaterThan(200);
  });

  test('a line meets a box that it runs through, and not one that it ends at or passes', () => {
    const box = { x: 10, y: 10, width: 20, height: 10 };
    const line = (x0: number, y0: number, x1: number, y1: number) => ({ from: { x: x0, y: y0 }, to: { x: x1, y: y1 } });
    expect(meets(line(0, 0, 40, 30), box)).toBe(true);
    expect(meets(line(20, 0, 20, 40), box)).toBe(true);
    expect(meets(line(20, 0, 20, 10), box)).toBe(false);
    expect(meets(line(0, 9, 40, 9), box)).toBe(false);
    expect(meets(line(0, 25, 9, 0), box)).toBe(false);
  });
});

describe('words beside a ring', () => {
  test('lie clear of it, above, below and at its sides', () => {
    const text = 'reach from the opening · 2450 m MSL';
    const px = Array.from({ length: 181 }, (_, i) => (2 * Math.PI * i) / 180).flatMap((turn) => [
      300 + 150 * Math.cos(turn),
      300 + 120 * Math.sin(turn),
    ]);
    const ring = boxesAlong(px, 4, 2);
    const [width, height] = [6.4 * text.length, 15];
    const spots = spotsOn(besideRing([{ px, from_px: 0 }], text), width, height);
    // Outside, eight ways; the inner two are for a ring that is cut off by the map's edge.
    const clear = spots.map((spot) => !ring.some((box) => overlap(box, { ...spot, width, height })));
    expect(clear.slice(0, 8)).toEqual(Array.from({ length: 8 }, () => true));
  });
});

describe('spots', () => {
  test('no spot around a mark covers its middle', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 10, max: 200 }),
        fc.integer({ min: 10, max: 60 }),
        fc.integer({ min: 4, max: 30 }),
        (width, height, gap) => {
          const spots = spotsAround({ x: 0, y: 0 }, { width, height }, gap, 4);
          expect(spots.length).toBe(32);
          for (const spot of spots)
            expect(overlap({ ...spot, width, height }, { x: -1, y: -1, width: 2, height: 2 })).toBe(false);
        },
      ),
      run,
    );
  });

  test('a spot on a point has the point in its middle', () => {
    expect(spotsOn([{ x: 50, y: 60 }], 30, 10)).toEqual([{ x: 35, y: 55 }]);
  });

  test('a turned text needs its height and width swapped at a right angle', () => {
    const turned = turnedSize(80, 15, Math.PI / 2);
    expect(turned.width).toBeCloseTo(15, 9);
    expect(turned.height).toBeCloseTo(80, 9);
    expect(turnedSize(80, 15, 0)).toEqual({ width: 80, height: 15 });
  });

  test('boxes along a line stand at even steps over its corners, however it is divided', () => {
    const straight = boxesAlong([0, 0, 100, 0], 10, 4);
    expect(straight.length).toBe(11);
    expect(boxesAlong([0, 0, 33, 0, 61, 0, 100, 0], 10, 4).map((box) => box.x.toFixed(9))).toEqual(
      straight.map((box) => box.x.toFixed(9)),
    );
  });
});
