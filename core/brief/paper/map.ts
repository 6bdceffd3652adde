// The map of a brief for paper: vector, black and white, its words placed so that they do not cover each other. Zones
// with corner ticks, hazards hatched with their heights, the expected landing with its 50 and 90 % written on the
// lines, the track, the crews by shape, the ground to keep clear, what lies off the sheet as arrows at its edge; scale
// bar, north, the crews' grid.
import { lengthUp } from '../../words/lengths.ts';
import { isInside, localFrame } from '../../earth/geodesic.ts';
import { boxesAlong } from '../../base/labels.ts';
import { quantity, rounded } from '../../words/numbers.ts';
import type { LonLat } from '../../base/units.ts';
import { outlineOf, type BriefMap, type MapBody, type MapCrew, type MapHazard } from '../mapData.ts';
import { furniture } from './furniture.ts';
import { frameFor, isOn, project, type Mm, type PaperFrame, type PaperOptions } from './frame.ts';
import {
  acrossTicks,
  bodyMark,
  caseMark,
  cornerTicks,
  crewMark,
  gateMark,
  GREY,
  holdMark,
  INK,
  landingMark,
  PAPER,
  smokeMark,
  TINT,
} from './marks.ts';
import {
  alongLine,
  alsoAround,
  centreOf,
  inward,
  labels,
  offSheet,
  radiusOf,
  SIZE,
  wishAround,
  wishOn,
  type Drawing,
} from './words.ts';
import { mm, svgPath, tag } from './svg.ts';

/** Crews and bodies farther than this from the landing are arrows at the edge, however few there are. */
const FAR_M = 15_000;

/** A whole SVG document fragment: `<svg>` with a title for those who do not see it. */
export function paperMap(map: BriefMap, options: PaperOptions): string {
  const paper = frameOf(map, options);
  const drawing: Drawing = { paper, options, wishes: [], blocked: [], unwelcome: [], arrows: new Map() };
  const { width_mm: w, height_mm: h } = options;
  const frame = furniture(paper, map, options.grid);
  drawing.blocked.push(...frame.boxes);
  const crews =
    options.crew === undefined
      ? map.crews
      : [...map.crews].sort((a, b) => Number(a.name === options.crew) - Number(b.name === options.crew));
  offSheet(drawing, map);
  const layers = [
    keepClear(drawing, map),
    frame.under,
    map.hazards.map((hazard) => hazardShape(drawing, hazard)).join(''),
    zones(drawing, map),
    landmarks(drawing, map),
    map.others.map((body) => bodyShape(drawing, body)).join(''),
    map.jumper === null ? '' : jumperShape(drawing, map.jumper),
    crews.map((crew) => crewWay(drawing, crew)).join(''),
    marks(drawing, map, crews),
    frame.over,
    labels(drawing),
  ];
  const clip = tag('clipPath', { id: `${options.id}-clip` }, tag('rect', { x: 0, y: 0, width: w, height: h }));
  const defs = tag('defs', {}, clip + hatch(options.id));
  const inside = tag('g', { 'clip-path': `url(#${options.id}-clip)` }, layers.join(''));
  const border = tag('rect', { x: 0, y: 0, width: w, height: h, fill: 'none', stroke: INK, 'stroke-width': 0.5 });
  return tag(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      viewBox: `0 0 ${mm(w)} ${mm(h)}`,
      width: `${mm(w)}mm`,
      height: `${mm(h)}mm`,
      role: 'img',
      'font-family': 'inherit',
    },
    tag('title', {}, 'Map of the expected landing, the crews and the hazards') +
      defs +
      tag('rect', { x: 0, y: 0, width: w, height: h, fill: PAPER }) +
      inside +
      border,
  );
}

const hatch = (id: string): string =>
  tag(
    'pattern',
    { id: `${id}-hatch`, width: 2.2, height: 2.2, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
    tag('path', { d: 'M0 0V2.2', stroke: INK, 'stroke-width': 0.3 }),
  );

/** A crew that alone would make the map this much smaller is an arrow at its edge. */
const CROWDS_OUT = 1.8;

/**
 * The frame with the landing and its spread, the aimed zone, the crews and what they go to, where they are near enough
 * for one sheet.
 */
function frameOf(map: BriefMap, { crew, width_mm, height_mm }: PaperOptions): PaperFrame {
  const fit = (crews: readonly MapCrew[]): PaperFrame =>
    frameFor(placesToShow(map, crew, crews), map.center, width_mm, height_mm);
  if (crew !== undefined) return fit(map.crews.filter((one) => one.name === crew));
  let crews = map.crews;
  let paper = fit(crews);
  for (const one of map.crews) {
    if (one.kind !== 'helicopter') continue;
    const others = crews.filter((other) => other !== one);
    const larger = fit(others);
    if (paper.scale >= CROWDS_OUT * larger.scale) [crews, paper] = [others, larger];
  }
  return paper;
}

function placesToShow(map: BriefMap, crew: string | undefined, crews: readonly MapCrew[]): LonLat[] {
  const about = localFrame(map.center);
  const near = (place: LonLat): boolean => Math.hypot(...about.toLocal(place)) <= FAR_M;
  const ways = crews.flatMap((one) => [one.standby, one.goal, ...one.route.flatMap((leg) => leg.line)]);
  const gates = crew === undefined ? [] : crews.flatMap((one) => one.gates.map((gate) => gate.position));
  const gondola =
    crew === undefined ? map.others.filter((one) => one.name === 'gondola').map((one) => one.landing) : [];
  const zone = map.zones.filter((one) => one.aimed).flatMap((one) => one.ring);
  const spread = map.jumper?.ellipses.at(-1);
  return [
    map.center,
    ...[...(spread === undefined ? [] : outlineOf(spread)), ...ways, ...gates, ...gondola, ...zone].filter(near),
  ];
}

const on = (drawing: Drawing, places: readonly LonLat[]): Mm[] => places.map((place) => project(drawing.paper, place));

/** The marked ground: one tint with one broken edge about all its parts, and a thin one at a helicopter's distance. */
function keepClear(drawing: Drawing, map: BriefMap): string {
  const outlines = (
    pick: (part: BriefMap['keepClear'][number]) => readonly LonLat[],
    fill: string,
    stroke: object,
  ): string => {
    const paths = map.keepClear.map((part) => svgPath(on(drawing, pick(part)), true));
    return (
      paths.map((d) => tag('path', { d, fill: 'none', ...stroke })).join('') +
      paths.map((d) => tag('path', { d, fill, stroke: 'none' })).join('')
    );
  };
  const first = map.keepClear[0];
  if (first === undefined) return '';
  // On the outer edge of the whole: where a part's edge lies inside no other part.
  const edge = map.keepClear.flatMap((part) =>
    part.ring.filter(
      (place, k) => k % 2 === 0 && !map.keepClear.some((other) => other !== part && isInside(place, other.ring)),
    ),
  );
  const spots = on(drawing, edge).filter((point) => isOn(drawing.paper, point, 4));
  wishOn(drawing, spots, { id: 'keep clear', priority: 0, words: 'KEEP CLEAR', bold: true });
  // Where the whole edge lies off the sheet or under other words, it stands beside the landing.
  alsoAround(drawing, project(drawing.paper, map.center), 6);
  const helicopters = map.crews.some((crew) => crew.kind === 'helicopter');
  const rotor = helicopters
    ? outlines((part) => part.rotorRing, PAPER, { stroke: GREY, 'stroke-width': 0.5, 'stroke-dasharray': '0.4 1.2' })
    : '';
  return rotor + outlines((part) => part.ring, TINT, { stroke: INK, 'stroke-width': 1.2, 'stroke-dasharray': '3 1.4' });
}

function hazardShape(drawing: Drawing, hazard: MapHazard): string {
  const id = `hazard ${hazard.name}`;
  const points = on(drawing, hazard.shape.kind === 'area' ? hazard.shape.ring : hazard.shape.line);
  const seen = points.filter((point) => isOn(drawing.paper, point, 3));
  const words = `${hazard.name}${hazard.height_m === null ? '' : ` ${lengthUp(hazard.height_m)}`}`;
  if (hazard.shape.kind === 'area') {
    const middle = centreOf(points);
    if (isOn(drawing.paper, middle, 3))
      wishAround(drawing, middle, radiusOf(points, middle), { id, priority: 5, words });
    else if (seen.length > 0) wishOn(drawing, seen, { id, priority: 6, words });
    return tag('path', {
      d: svgPath(points, true),
      fill: `url(#${drawing.options.id}-hatch)`,
      stroke: INK,
      'stroke-width': 0.35,
    });
  }
  wishOn(drawing, alongLine(drawing.paper, points), { id, priority: 6, words });
  const d = svgPath(points);
  const line = (stroke: string, width: number, dashes?: string): string =>
    tag('path', {
      d,
      fill: 'none',
      stroke,
      'stroke-width': width,
      'stroke-dasharray': dashes,
      'stroke-linejoin': 'round',
    });
  const crossings = on(drawing, hazard.crossings)
    .map(([x, y]) =>
      tag('path', {
        d: `M${mm(x - 1.2)} ${mm(y - 1)}h2.4M${mm(x - 1.2)} ${mm(y + 1)}h2.4`,
        stroke: INK,
        'stroke-width': 0.4,
      }),
    )
    .join('');
  switch (hazard.kind) {
    case 'road':
      return line(GREY, 1.1) + line(PAPER, 0.6);
    case 'river':
    case 'water':
    case 'sea':
    case 'lake':
    case 'canal':
      return line('#999', 1.3) + crossings;
    default: {
      const strokes = acrossTicks(points, hazard.kind === 'fence' ? 3 : 5, hazard.kind === 'fence' ? 0.7 : 1.1);
      return line(INK, 0.4) + tag('path', { d: strokes, stroke: INK, 'stroke-width': 0.4 }) + crossings;
    }
  }
}

function zones(drawing: Drawing, map: BriefMap): string {
  return map.zones
    .map((zone) => {
      const ring = on(drawing, zone.ring);
      const top = [...ring].sort((a, b) => a[1] - b[1]);
      const middle = centreOf(ring);
      const wish = { id: `zone ${zone.name}`, words: zone.name };
      wishOn(
        drawing,
        inward(top, middle),
        zone.aimed ? { ...wish, priority: 1, size: SIZE, bold: true } : { ...wish, priority: 4 },
      );
      // A zone that is smaller than its name has it beside it.
      if (isOn(drawing.paper, middle, 2)) alsoAround(drawing, middle, radiusOf(ring, middle));
      const outline = tag('path', {
        d: svgPath(ring, true),
        fill: 'none',
        stroke: INK,
        'stroke-width': zone.aimed ? 0.55 : 0.3,
      });
      return outline + cornerTicks(ring, zone.aimed ? 3.5 : 2.5);
    })
    .join('');
}

function landmarks(drawing: Drawing, map: BriefMap): string {
  const named = new Set([...map.hazards.map((one) => one.name), ...map.zones.map((one) => one.name)]);
  return map.landmarks
    .map((mark) => {
      const points = on(drawing, mark.line);
      const wish = { id: `mark ${mark.name}`, priority: 9, words: mark.name };
      const first = points[0];
      if (points.length > 1) {
        if (!named.has(mark.name)) wishOn(drawing, alongLine(drawing.paper, points), wish);
        return named.has(mark.name)
          ? ''
          : tag('path', {
              d: svgPath(points),
              fill: 'none',
              stroke: GREY,
              'stroke-width': 0.3,
              'stroke-dasharray': '2 1',
            });
      }
      if (first === undefined || !isOn(drawing.paper, first, 2)) return '';
      wishAround(drawing, first, 1.6, wish);
      const [x, y] = first;
      const triangle: Mm[] = [[x, y - 1.4], [x + 1.3, y + 0.9], [x - 1.3, y + 0.9]]; // prettier-ignore
      return tag('path', { d: svgPath(triangle, true), fill: PAPER, stroke: INK, 'stroke-width': 0.4 });
    })
    .join('');
}

const DASHES = { 50: undefined, 90: '2 0.9' } as const;

function ellipses(drawing: Drawing, body: MapBody, name: string, width: number): string {
  return body.ellipses
    .map((ellipse) => {
      const points = on(drawing, outlineOf(ellipse));
      const spots = points.filter((point, k) => k % 8 === 4 && isOn(drawing.paper, point, 2));
      wishOn(drawing, spots, {
        id: `${body.name} ${ellipse.percent}`,
        priority: 3,
        words: `${name}${quantity(ellipse.percent, '%')}`,
      });
      return tag('path', {
        d: svgPath(points, true),
        fill: 'none',
        stroke: INK,
        'stroke-width': width,
        'stroke-dasharray': DASHES[ellipse.percent],
      });
    })
    .join('');
}

function bodyShape(drawing: Drawing, body: MapBody): string {
  const path = on(
    drawing,
    body.track.map(([, lon, lat]) => [lon, lat]),
  );
  return (
    ellipses(drawing, body, `${body.name} `, 0.3) +
    tag('path', { d: svgPath(path), fill: 'none', stroke: GREY, 'stroke-width': 0.3, 'stroke-dasharray': '0.5 1' })
  );
}

function jumperShape(drawing: Drawing, body: MapBody): string {
  const all = on(
    drawing,
    body.track.map(([, lon, lat]) => [lon, lat]),
  );
  const opens = body.opens ?? all.length - 1;
  const canopy = all.slice(opens);
  drawing.unwelcome.push(...boxesAlong(all.flat(), 2, 1.5));
  const opening = all[opens];
  const height = body.track[opens]?.[3];
  let mark = '';
  if (body.opens !== null && opening !== undefined && isOn(drawing.paper, opening, 1)) {
    mark = tag('circle', { cx: opening[0], cy: opening[1], r: 1.1, fill: PAPER, stroke: INK, 'stroke-width': 0.5 });
    if (height !== undefined)
      wishAround(drawing, opening, 1.8, {
        id: 'opening',
        priority: 3,
        words: `opens ${quantity(rounded(height, 10), 'm')} MSL`,
      });
  }
  const line = (points: readonly Mm[], stroke: string, width: number, dashes?: string): string =>
    tag('path', {
      d: svgPath(points),
      fill: 'none',
      stroke,
      'stroke-width': width,
      'stroke-dasharray': dashes,
      'stroke-linejoin': 'round',
    });
  return (
    ellipses(drawing, body, '', 0.45) +
    line(all.slice(0, opens + 1), INK, 0.4, '1.2 0.8') +
    line(canopy, PAPER, 1.7) +
    line(canopy, INK, 0.9) +
    mark
  );
}

function crewWay(drawing: Drawing, crew: MapCrew): string {
  const own = drawing.options.crew === crew.name;
  const width = own ? 0.8 : 0.4;
  const legs = crew.route.map((leg) => {
    const dashes =
      leg.kind === 'flight'
        ? '4 1 0.8 1'
        : leg.kind === 'road'
          ? undefined
          : leg.kind === 'off road' || leg.kind === 'by water'
            ? '1.6 1'
            : '0.6 0.8';
    const d = svgPath(on(drawing, leg.line));
    const edge = tag('path', { d, fill: 'none', stroke: PAPER, 'stroke-width': width + 0.7 });
    return edge + tag('path', { d, fill: 'none', stroke: INK, 'stroke-width': width, 'stroke-dasharray': dashes });
  });
  return legs.join('') + (own ? approach(drawing, crew) : '');
}

function approach(drawing: Drawing, crew: MapCrew): string {
  const gates = crew.gates.map((gate) => ({ gate, at: project(drawing.paper, gate.position) }));
  const line = tag('path', {
    d: svgPath(gates.map(({ at }) => at)),
    fill: 'none',
    stroke: INK,
    'stroke-width': 0.5,
    'stroke-dasharray': '1 0.7',
  });
  const signs = gates.map(({ gate, at }) => {
    if (!isOn(drawing.paper, at, 1)) return '';
    if (gate.name === 'hold') {
      wishAround(drawing, at, 2.8, { id: 'hold', priority: 2, words: `HOLD ${quantity(gate.agl_m, 'm')} AGL` });
      return holdMark(at);
    }
    if (gate.name === 'initial')
      wishAround(drawing, at, 1.8, { id: 'initial', priority: 6, words: `${quantity(gate.agl_m, 'm')} AGL` });
    return gate.name === 'set down' ? '' : gateMark(at);
  });
  return line + signs.join('');
}

function marks(drawing: Drawing, map: BriefMap, crews: readonly MapCrew[]): string {
  const out: string[] = [];
  const put = (place: LonLat, half: number, draw: (at: Mm) => string): Mm | null => {
    const at = project(drawing.paper, place);
    if (!isOn(drawing.paper, at, 1.5)) return null;
    out.push(draw(at));
    drawing.blocked.push({ x: at[0] - half, y: at[1] - half, width: 2 * half, height: 2 * half });
    return at;
  };
  if (drawing.options.crew === undefined)
    for (const one of map.cases) if (one.letter !== 'P') put(one.landing, 1.7, (at) => caseMark(at, one.letter));
  for (const body of map.others) {
    const at = put(body.landing, 1.8, bodyMark);
    if (at !== null) wishAround(drawing, at, 2.4, { id: body.name, priority: 2, words: body.name, size: SIZE });
  }
  if (map.smoke !== null && drawing.paper.scale <= 10_000) put(map.smoke.position, 1.5, smokeMark);
  if (map.jumper !== null) put(map.jumper.landing, 2.6, landingMark);
  for (const crew of crews) {
    const at = put(crew.standby, 3.2, (point) => crewMark(point, crew.kind, crew.medical));
    if (at === null) continue;
    wishAround(drawing, at, 3.6, { id: `crew ${crew.name}`, priority: -1, words: crew.name, size: SIZE, bold: true });
    // Among many marks a crew is named further off rather than not at all.
    for (const gap of [7, 11]) alsoAround(drawing, at, gap);
  }
  return out.join('');
}
