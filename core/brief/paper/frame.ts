// The frame of a map on paper: what it shows at which scale, north up, in millimetres of paper, x right, y down; the
// crews' grid along its edges. Places are projected through a tangent frame about the middle: within 100 km its error
// is below a tenth of a millimetre.
import { zeroed } from '../../base/plainNumbers.ts';
import { localFrame, type LocalFrame } from '../../earth/geodesic.ts';
import type { CoordinateFormat } from '../../words/positions.ts';
import { toUtm, utmZone } from '../../earth/utm.ts';
import { wrap180, type LonLat } from '../../base/units.ts';

export interface PaperOptions {
  readonly width_mm: number;
  readonly height_mm: number;
  readonly grid: CoordinateFormat;
  /** The crew whose map it is: its way is drawn strong and its approach is shown. */
  readonly crew?: string;
  /** Before the names of patterns, so that several maps stand on one page. */
  readonly id: string;
}

export type Mm = readonly [x: number, y: number];

export interface PaperFrame {
  readonly width_mm: number;
  readonly height_mm: number;
  /** One to so many. */
  readonly scale: number;
  readonly frame: LocalFrame;
  /** Of the middle of the paper, m east and north in the frame. */
  readonly middle: readonly [east_m: number, north_m: number];
}

/** Scales as maps have them. */
const SCALES = [
  1000, 1500, 2000, 2500, 4000, 5000, 7500, 10_000, 15_000, 20_000, 25_000, 30_000, 40_000, 50_000, 60_000, 75_000,
  100_000, 125_000, 150_000, 200_000, 250_000, 300_000, 400_000, 500_000, 750_000, 1_000_000, 2_000_000, 5_000_000,
] as const;

const MARGIN_MM = 9;

/** The largest scale at which all places lie on the paper, a margin about them. */
export function frameFor(places: readonly LonLat[], center: LonLat, width_mm: number, height_mm: number): PaperFrame {
  const frame = localFrame(center);
  let [west, south, east, north] = [0, 0, 0, 0];
  for (const place of places) {
    const [x, y] = frame.toLocal(place);
    west = Math.min(west, x);
    east = Math.max(east, x);
    south = Math.min(south, y);
    north = Math.max(north, y);
  }
  const [wide, high] = [(width_mm - 2 * MARGIN_MM) / 1000, (height_mm - 2 * MARGIN_MM) / 1000];
  const needed = Math.max((east - west) / wide, (north - south) / high);
  const scale = SCALES.find((one) => one >= needed) ?? 10 ** Math.ceil(Math.log10(needed));
  return { width_mm, height_mm, scale, frame, middle: [(west + east) / 2, (south + north) / 2] };
}

export function project(paper: PaperFrame, place: LonLat): Mm {
  const [east, north] = paper.frame.toLocal(place);
  const mm = 1000 / paper.scale;
  return [paper.width_mm / 2 + (east - paper.middle[0]) * mm, paper.height_mm / 2 - (north - paper.middle[1]) * mm];
}

export function unproject(paper: PaperFrame, [x, y]: Mm): LonLat {
  const m = paper.scale / 1000;
  return paper.frame.toLonLat(
    paper.middle[0] + (x - paper.width_mm / 2) * m,
    paper.middle[1] + (paper.height_mm / 2 - y) * m,
  );
}

export const isOn = ({ width_mm, height_mm }: PaperFrame, [x, y]: Mm, inset = 0): boolean =>
  x >= inset && y >= inset && x <= width_mm - inset && y <= height_mm - inset;

export interface Tick {
  readonly at: Mm;
  readonly edge: 'top' | 'bottom' | 'left' | 'right';
  readonly label: string;
}

export interface Grid {
  readonly ticks: readonly Tick[];
  readonly crosses: readonly Mm[];
}

/** Values a grid steps by: minutes of arc, and metres. */
const STEPS_MIN = [0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 30, 60] as const;
const STEPS_M = [100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000] as const;
const SPACING_MM_MIN = 22;

interface Net {
  /** Column and row of a place, in steps' units. */
  readonly of: (place: LonLat) => readonly [column: number, row: number];
  readonly step: number;
  readonly columnLabel: (value: number) => string;
  readonly rowLabel: (value: number) => string;
}

/** Ticks where the grid's lines meet the edges, and crosses where they meet each other. */
export function gridOn(paper: PaperFrame, format: CoordinateFormat): Grid {
  const net = format === 'MGRS' || format === 'UTM' ? metreNet(paper) : minuteNet(paper);
  if (net === null) return { ticks: [], crosses: [] };
  const { width_mm: w, height_mm: h } = paper;
  const along = (edge: Tick['edge']): Tick[] => {
    const isRow = edge === 'left' || edge === 'right';
    const length = isRow ? h : w;
    const at = (t: number): Mm =>
      edge === 'top' ? [t, 0] : edge === 'bottom' ? [t, h] : edge === 'left' ? [0, t] : [w, t];
    const value = (t: number): number => net.of(unproject(paper, at(t)))[isRow ? 1 : 0];
    return crossings(value, length, net.step).map(({ t, value: line }) => ({
      at: at(t),
      edge,
      label: (isRow ? net.rowLabel : net.columnLabel)(line),
    }));
  };
  const ticks = (['top', 'bottom', 'left', 'right'] as const).flatMap(along);
  return { ticks, crosses: crossesOf(ticks, h) };
}

/**
 * Where a value that changes steadily along an edge passes whole steps; between samples a millimetre apart it runs
 * straight.
 */
function crossings(
  value: (t: number) => number,
  length: number,
  step: number,
): { readonly t: number; readonly value: number }[] {
  const found: { t: number; value: number }[] = [];
  let before = value(0);
  for (let t = 1; t <= length; t++) {
    const now = value(t);
    const line = Math.ceil(Math.min(before, now) / step) * step;
    if (line <= Math.max(before, now) && now !== before && Math.abs(now - before) < step)
      found.push({ t: t - 1 + (line - before) / (now - before), value: line });
    before = now;
  }
  return found;
}

/** Crosses: a line's two ends joined straight, which on one sheet is where it runs. */
function crossesOf(ticks: readonly Tick[], height_mm: number): Mm[] {
  const columns = pairs(ticks, 'top', 'bottom');
  const rows = pairs(ticks, 'left', 'right');
  return columns.flatMap(([a, b]) =>
    rows.map(([c, d]): Mm => {
      const y = c[1] + ((d[1] - c[1]) * a[0]) / Math.max(d[0] - c[0], 1e-9);
      return [a[0] + ((b[0] - a[0]) * y) / height_mm, y];
    }),
  );
}

const pairs = (ticks: readonly Tick[], one: Tick['edge'], other: Tick['edge']): (readonly [Mm, Mm])[] =>
  ticks.flatMap((tick) => {
    const end = tick.edge === one ? ticks.find((end) => end.edge === other && end.label === tick.label) : undefined;
    return end === undefined ? [] : [[tick.at, end.at] as const];
  });

function minuteNet(paper: PaperFrame): Net | null {
  const center = unproject(paper, [paper.width_mm / 2, paper.height_mm / 2]);
  if (!(Math.abs(center[1]) < 85)) return null;
  const mmPerMinute = (1852 * 1000 * Math.cos((center[1] * Math.PI) / 180)) / paper.scale;
  const step = STEPS_MIN.find((one) => one * mmPerMinute >= SPACING_MM_MIN);
  if (step === undefined) return null;
  const decimals = step < 0.1 ? 2 : step < 0.25 ? 1 : step < 0.5 ? 2 : step < 1 ? 1 : 0;
  const label = (minutes: number, positive: string, negative: string): string => {
    const side = minutes < 0 ? negative : positive;
    const unit = 10 ** decimals;
    const whole = Math.round(Math.abs(minutes) * unit);
    const rest = (whole % (60 * unit)) / unit;
    return (
      `${Math.floor(whole / (60 * unit))}° ` +
      `${rest.toFixed(decimals).padStart(decimals > 0 ? decimals + 3 : 2, '0')}′ ${side}`
    );
  };
  return {
    // Longitudes on from the middle's, so that a sheet across 180° counts on.
    of: ([lon, lat]) => [60 * (center[0] + wrap180(lon - center[0])), 60 * lat],
    step,
    columnLabel: (value) => label(60 * wrap180(value / 60), 'E', 'W'),
    rowLabel: (value) => label(value, 'N', 'S'),
  };
}

function metreNet(paper: PaperFrame): Net | null {
  const center = unproject(paper, [paper.width_mm / 2, paper.height_mm / 2]);
  const zone = utmZone(center);
  if (toUtm(center, zone) === null) return null;
  const step = STEPS_M.find((one) => (one * 1000) / paper.scale >= SPACING_MM_MIN * 0.7);
  if (step === undefined) return null;
  // Two digits of kilometres, as grid references have them; below a kilometre the hundreds too.
  const label = (value: number): string => {
    const km = Math.floor(value / 1000) % 100;
    const two = zeroed(km, 2);
    return step >= 1000 ? two : `${two}.${Math.round((value % 1000) / 100)}`;
  };
  return {
    of: (place) => {
      const utm = toUtm(place, zone);
      return utm === null ? [NaN, NaN] : [utm.easting_m, utm.northing_m];
    },
    step,
    columnLabel: label,
    rowLabel: label,
  };
}
