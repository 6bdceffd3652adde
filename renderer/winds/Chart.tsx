// The wind column as a drawing: a pure function from data and size to SVG. Heights run bottom to top, MSL on the left
// and AGL on the right; barbs, then the curve, then the marks of the descent. Extrapolated is dashed; struck has a line
// through.
import { never } from '../../core/base/problem.ts';
import type { JSX } from 'preact';
import { M_PER_FT } from '../../core/base/units.ts';
import { metresTo, mpsTo, number } from '../../core/words/numbers.ts';
import { barb, type Barb } from './barbs.ts';
import type { ChartData, ChartLevel, ProfilePoint } from './model.ts';
import { originMark, profileAt } from './profile.ts';
import { OtherCurves, Reported } from './Reported.tsx';
import { niceCeiling, spread, ticks, toPx, type Frame, type Scale } from './scale.ts';

export interface Size {
  readonly width: number;
  readonly height: number;
}

const TOP = 30;
const BOTTOM = 26;
const LEFT = 46;
const RIGHT = 50;
/** Width of the barbs' stretch. */
const BARBS = 62;
/** Barbs closer than this would cover each other. */
const BARB_GAP = 17;

export function frameOf(size: Size, bottom_m: number, top_m: number): Frame {
  const right = size.width - RIGHT;
  return {
    heights: { min: bottom_m, max: Math.max(top_m, bottom_m + 1), from_px: size.height - BOTTOM, to_px: TOP },
    barbs_px: LEFT + BARBS / 2,
    curve: { from_px: LEFT + BARBS + 6, to_px: right - 6 },
    right_px: right,
  };
}

export function Chart({ data, size }: { readonly data: ChartData; readonly size: Size }): JSX.Element | null {
  if (!(size.width > LEFT + RIGHT + BARBS + 40 && size.height > TOP + BOTTOM + 40)) return null;
  const frame = frameOf(size, data.bottom_m, data.top_m);
  return (
    <svg viewBox={`0 0 ${size.width} ${size.height}`} aria-hidden="true">
      <Axes data={data} frame={frame} />
      <Sensitivity data={data} frame={frame} />
      <Curves data={data} frame={frame} />
      <Barbs data={data} frame={frame} />
      <Marks data={data} frame={frame} />
      <Pointed data={data} frame={frame} />
    </svg>
  );
}

interface Part {
  readonly data: ChartData;
  readonly frame: Frame;
}

/** Heights at which the axes are labelled, in metres, by the unit in force; AGL ones count from the ground. */
function heightTicks(data: ChartData, reference_m: number, count: number): { height_m: number; text: string }[] {
  const unit = data.units.length;
  const low = metresTo(data.bottom_m - reference_m, unit);
  const high = metresTo(data.top_m - reference_m, unit);
  const perUnit = unit === 'ft' ? M_PER_FT : 1;
  return ticks(low, high, count).map((value) => ({ height_m: value * perUnit + reference_m, text: number(value) }));
}

function Axes({ data, frame }: Part): JSX.Element {
  const { heights, right_px } = frame;
  const count = Math.max(3, Math.round((heights.from_px - heights.to_px) / 64));
  const msl = heightTicks(data, 0, count);
  const agl = heightTicks(data, data.ground_m, count).filter((tick) => tick.height_m >= data.ground_m - 1);
  const ground = toPx(heights, data.ground_m);
  return (
    <g>
      <text x={LEFT - 6} y={12} text-anchor="end">
        {data.units.length} MSL
      </text>
      <text x={right_px + 4} y={12}>
        {data.units.length} AGL
      </text>
      {msl.map((tick) => (
        <g key={tick.text}>
          <line
            x1={LEFT}
            x2={right_px}
            y1={toPx(heights, tick.height_m)}
            y2={toPx(heights, tick.height_m)}
            stroke="var(--line)"
          />
          <text x={LEFT - 6} y={toPx(heights, tick.height_m) + 4} text-anchor="end">
            {tick.text}
          </text>
        </g>
      ))}
      {agl.map((tick) => (
        <g key={tick.text}>
          <line
            x1={right_px}
            x2={right_px + 4}
            y1={toPx(heights, tick.height_m)}
            y2={toPx(heights, tick.height_m)}
            stroke="var(--quiet)"
          />
          <text x={right_px + 7} y={toPx(heights, tick.height_m) + 4}>
            {tick.text}
          </text>
        </g>
      ))}
      <line x1={right_px} x2={right_px} y1={heights.to_px} y2={heights.from_px} stroke="var(--line)" />
      <line x1={LEFT} x2={LEFT} y1={heights.to_px} y2={heights.from_px} stroke="var(--line)" />
      {data.ground_m >= data.bottom_m ? (
        <line x1={LEFT} x2={right_px} y1={ground} y2={ground} stroke="var(--quiet)" stroke-width={2} />
      ) : null}
    </g>
  );
}

/**
 * A curve of one value over height, in stretches: solid where levels stand behind it, dashed where it is extrapolated.
 */
interface Line {
  readonly name: string;
  readonly width: number;
  readonly value: (point: ProfilePoint) => number | null;
}

interface Across {
  readonly scale: Scale;
  readonly lines: readonly Line[];
  readonly labels: readonly { readonly value: number; readonly text: string }[];
  readonly title: string;
}

function acrossOf(data: ChartData, frame: Frame): Across {
  const unit = data.units.speed;
  const shown = data.profile.filter((point) => point.height_m >= data.bottom_m && point.height_m <= data.top_m);
  switch (data.curve) {
    case 'wind': {
      const fastest = Math.max(1, ...shown.map((point) => mpsTo(Math.hypot(point.u_mps, point.v_mps), unit)));
      // Even, so that its half is whole too.
      const end = 2 * Math.ceil(niceCeiling(fastest / 2));
      return {
        scale: { min: 0, max: end, ...frame.curve },
        lines: [{ name: '', width: 2, value: (point) => mpsTo(Math.hypot(point.u_mps, point.v_mps), unit) }],
        labels: [0, end / 2, end].map((value) => ({ value, text: number(value) })),
        title: unit,
      };
    }
    case 'east and north': {
      const fastest = Math.max(
        1,
        ...shown.map((point) => mpsTo(Math.max(Math.abs(point.u_mps), Math.abs(point.v_mps)), unit)),
      );
      const end = Math.ceil(niceCeiling(fastest));
      return {
        scale: { min: -end, max: end, ...frame.curve },
        lines: [
          { name: 'east', width: 2, value: (point) => mpsTo(point.u_mps, unit) },
          { name: 'north', width: 1, value: (point) => mpsTo(point.v_mps, unit) },
        ],
        labels: [-end, 0, end].map((value) => ({ value, text: number(value) })),
        title: `${unit}, toward east and toward north`,
      };
    }
    case 'temperature': {
      const known = shown.flatMap((point) => (point.temperature_K === null ? [] : [point.temperature_K - 273.15]));
      const low = Math.floor(Math.min(0, ...known) / 20) * 20;
      const high = Math.ceil(Math.max(1, ...known) / 20) * 20;
      return {
        scale: { min: low, max: high, ...frame.curve },
        lines: [
          {
            name: '',
            width: 2,
            value: (point) => (point.temperature_K === null ? null : point.temperature_K - 273.15),
          },
        ],
        labels: [low, 0, high]
          .filter((v, i, all) => all.indexOf(v) === i)
          .map((value) => ({ value, text: number(value) })),
        title: '°C',
      };
    }
    default:
      return never(data.curve);
  }
}

function pathOf(data: ChartData, frame: Frame, scale: Scale, line: Line, extrapolated: boolean): string {
  let text = '';
  let before: { readonly at: string; readonly extrapolated: boolean } | null = null;
  let penAt = '';
  for (const point of data.profile) {
    const value = line.value(point);
    const inside = point.height_m >= data.bottom_m - 1 && point.height_m <= data.top_m + 1;
    if (value === null || !inside) {
      before = null;
      continue;
    }
    const at = `${toPx(scale, value).toFixed(1)} ${toPx(frame.heights, point.height_m).toFixed(1)}`;
    // A stretch belongs to the solid curve only where levels stand behind both of its ends.
    if (before !== null && (before.extrapolated || point.extrapolated) === extrapolated) {
      text += `${penAt === before.at ? '' : `M${before.at}`}L${at}`;
      penAt = at;
    }
    before = { at, extrapolated: point.extrapolated };
  }
  return text;
}

function Curves({ data, frame }: Part): JSX.Element {
  const across = acrossOf(data, frame);
  const { scale } = across;
  const stroke = data.curve === 'temperature' ? 'var(--quiet)' : 'var(--wind)';
  return (
    <g>
      {across.labels.map(({ value, text }) => (
        <g key={text}>
          <line
            x1={toPx(scale, value)}
            x2={toPx(scale, value)}
            y1={frame.heights.to_px}
            y2={frame.heights.from_px}
            stroke="var(--line)"
          />
          <text x={toPx(scale, value)} y={frame.heights.from_px + 14} text-anchor="middle">
            {text}
          </text>
        </g>
      ))}
      {data.curve === 'wind' ? null : (
        <text x={(scale.from_px + scale.to_px) / 2} y={12} text-anchor="middle">
          {data.curve === 'east and north' ? 'east bold, north fine' : ''}
        </text>
      )}
      <text x={LEFT + 2} y={frame.heights.from_px + 14}>
        {data.curve === 'temperature' ? '°C' : data.units.speed}
      </text>
      <ErrorBand data={data} frame={frame} scale={scale} />
      <OtherCurves data={data} frame={frame} scale={scale} />
      {across.lines.map((line) => (
        <g key={line.name} fill="none" stroke={stroke} stroke-width={line.width} stroke-linejoin="round">
          <path d={pathOf(data, frame, scale, line, false)} />
          <path d={pathOf(data, frame, scale, line, true)} stroke-dasharray="4 4" />
        </g>
      ))}
      {data.curve === 'wind' ? <Directions data={data} frame={frame} /> : null}
      <LevelDots data={data} frame={frame} across={across} />
      <Reported data={data} frame={frame} scale={scale} />
    </g>
  );
}

/** One standard deviation to each side of the speed, or of each component. */
function ErrorBand({ data, frame, scale }: Part & { readonly scale: Scale }): JSX.Element | null {
  const errors = data.errors;
  if (errors === undefined || errors.length < 2 || data.curve === 'temperature') return null;
  const unit = data.units.speed;
  const inside = errors.flatMap(({ height_m, std_mps }) => {
    if (height_m < data.bottom_m || height_m > data.top_m) return [];
    const wind = profileAt(data.profile, height_m);
    const middle_mps = wind === null ? 0 : data.curve === 'wind' ? wind.speed_mps : wind.u_mps;
    return [
      { y: toPx(frame.heights, height_m).toFixed(1), middle: mpsTo(middle_mps, unit), std: mpsTo(std_mps, unit) },
    ];
  });
  const across = (x: number): string => toPx(scale, Math.max(scale.min, Math.min(scale.max, x))).toFixed(1);
  const outline = [
    ...inside.map(({ y, middle, std }) => `${across(middle + std)} ${y}`),
    ...inside.toReversed().map(({ y, middle, std }) => `${across(middle - std)} ${y}`),
  ];
  return outline.length < 3 ? null : <path d={`M${outline.join('L')}Z`} fill="var(--wind)" fill-opacity={0.16} />;
}

/** Which layer decides: bars from the right axis inward. */
function Sensitivity({ data, frame }: Part): JSX.Element | null {
  const bars = data.sensitivity;
  if (bars === undefined || bars.length === 0) return null;
  const most = Math.max(...bars.map((bar) => bar.metresPerMps), 1e-9);
  return (
    <g fill="var(--spread)" fill-opacity={0.3}>
      {bars
        .filter((bar) => bar.top_m > data.bottom_m && bar.bottom_m < data.top_m)
        .map((bar) => {
          const top = toPx(frame.heights, Math.min(bar.top_m, data.top_m));
          const bottom = toPx(frame.heights, Math.max(bar.bottom_m, data.bottom_m));
          const width = (bar.metresPerMps / most) * 36;
          return (
            <rect
              key={bar.bottom_m}
              x={frame.right_px - width}
              y={top}
              width={width}
              height={Math.max(0.5, bottom - top - 0.5)}
            />
          );
        })}
    </g>
  );
}

/** Directions as hollow dots on their own scale, north to north, labelled above: FROM. */
function Directions({ data, frame }: Part): JSX.Element {
  const scale: Scale = { min: 0, max: 360, ...frame.curve };
  const shown = data.levels.filter((level) => isShown(level, data) && !level.struck && level.speed_mps >= 0.5);
  return (
    <g>
      {(['N', 'E', 'S', 'W', 'N'] as const).map((letter, i) => (
        <text key={i} x={toPx(scale, i * 90)} y={12} text-anchor="middle">
          {letter}
        </text>
      ))}
      <line x1={scale.from_px} x2={scale.to_px} y1={17} y2={17} stroke="var(--line)" />
      {shown.map((level) => (
        <circle
          key={level.key}
          cx={toPx(scale, level.from_deg)}
          cy={toPx(frame.heights, level.height_m)}
          r={1.75}
          fill="var(--paper)"
          stroke="var(--quiet)"
        />
      ))}
    </g>
  );
}

const isShown = (level: ChartLevel, data: ChartData): boolean =>
  level.height_m >= data.bottom_m && level.height_m <= data.top_m;

function LevelDots({ data, frame, across }: Part & { readonly across: Across }): JSX.Element {
  const value = across.lines[0]?.value;
  const count = data.levels.filter((level) => isShown(level, data)).length;
  // Where levels stand closer than their marks are tall, the marks shrink.
  const r = Math.max(1.25, Math.min(2.75, (frame.heights.from_px - frame.heights.to_px) / Math.max(1, count) / 5));
  return (
    <g>
      {data.levels
        .filter((level) => isShown(level, data))
        .map((level) => {
          const v = valueAt(level, data);
          if (v === null || value === undefined) return null;
          const x = Math.max(frame.curve.from_px, Math.min(frame.curve.to_px, toPx(across.scale, v)));
          const y = toPx(frame.heights, level.height_m);
          const chosen = level.key === data.chosen;
          return (
            <g key={level.key}>
              <path
                d={originMark(level.origin, x, y, chosen ? 4.5 : r)}
                fill={chosen ? 'var(--accent)' : level.struck ? 'var(--paper)' : 'var(--wind)'}
                stroke={chosen ? 'var(--accent)' : level.struck ? 'var(--quiet)' : 'var(--wind)'}
              />
              {level.struck ? (
                <line x1={x - 7} x2={x + 7} y1={y + 3} y2={y - 3} stroke="var(--ink)" stroke-width={1.5} />
              ) : null}
            </g>
          );
        })}
    </g>
  );
}

function valueAt(level: ChartLevel, data: ChartData): number | null {
  if (data.curve === 'temperature') return level.temperature_K === null ? null : level.temperature_K - 273.15;
  if (data.curve === 'wind') return mpsTo(level.speed_mps, data.units.speed);
  return mpsTo(-level.speed_mps * Math.sin((level.from_deg * Math.PI) / 180), data.units.speed);
}

/** Which levels get a barb: the chosen one, then from the ground up as many as stand clear of each other. */
export function barbedLevels(levels: readonly ChartLevel[], data: ChartData, heights: Scale): ChartLevel[] {
  const places: number[] = [];
  const picked: ChartLevel[] = [];
  const shown = levels.filter((level) => isShown(level, data) && !level.struck);
  const first = shown.filter((level) => level.key === data.chosen);
  for (const level of [...first, ...shown]) {
    const y = toPx(heights, level.height_m);
    if (places.some((other) => Math.abs(other - y) < BARB_GAP)) continue;
    places.push(y);
    picked.push(level);
  }
  return picked;
}

function Barbs({ data, frame }: Part): JSX.Element {
  return (
    <g>
      {barbedLevels(data.levels, data, frame.heights).map((level) => (
        <g key={level.key} transform={`translate(${frame.barbs_px} ${toPx(frame.heights, level.height_m).toFixed(1)})`}>
          <BarbGlyph
            barb={barb(level.from_deg, level.speed_mps, data.hemisphere, 24)}
            chosen={level.key === data.chosen}
          />
        </g>
      ))}
    </g>
  );
}

export function BarbGlyph({ barb, chosen }: { readonly barb: Barb; readonly chosen: boolean }): JSX.Element {
  const colour = chosen ? 'var(--accent)' : 'var(--wind)';
  const at = (p: readonly [number, number]): string => `${p[0].toFixed(2)} ${p[1].toFixed(2)}`;
  if (barb.calm) return <circle r={4} fill="none" stroke={colour} stroke-width={1.25} />;
  const strokes = [barb.shaft, ...barb.full, ...barb.half].map(([a, b]) => `M${at(a)}L${at(b)}`).join('');
  const flags = barb.pennants.map(([a, b, c]) => `M${at(a)}L${at(b)}L${at(c)}Z`).join('');
  return (
    <g>
      <path d={strokes} fill="none" stroke={colour} stroke-width={1.25} />
      <path d={flags} fill={colour} stroke={colour} stroke-width={0.75} />
      <circle r={1.5} fill={colour} />
    </g>
  );
}

/** The heights of the descent: a tick across the barbs' stretch and a name, names moved apart. */
function Marks({ data, frame }: Part): JSX.Element {
  const shown = data.marks.filter((mark) => mark.height_m >= data.bottom_m - 1 && mark.height_m <= data.top_m + 1);
  const places = shown.map((mark) => toPx(frame.heights, mark.height_m));
  const sizes = shown.map(() => 13);
  const labels = spread(places, sizes, frame.heights.to_px - 2, frame.heights.from_px + 5);
  return (
    <g>
      {shown.map((mark, i) => {
        const y = places[i] ?? 0;
        const label = labels[i] ?? y;
        return (
          <g key={mark.name}>
            <path d={`M${LEFT - 3} ${y}h10M${frame.right_px - 7} ${y}h10`} stroke="var(--path)" stroke-width={2} />
            <path
              d={`M${LEFT + 7} ${y}H${frame.right_px - 7}`}
              stroke="var(--path)"
              stroke-width={0.75}
              stroke-dasharray="1 3"
            />
            <text
              x={frame.right_px - 9}
              y={label - 3}
              text-anchor="end"
              stroke="var(--paper)"
              stroke-width={3}
              paint-order="stroke"
              style={{ fill: 'var(--path)' }}
            >
              {mark.name}
            </text>
          </g>
        );
      })}
    </g>
  );
}

function Pointed({ data, frame }: Part): JSX.Element | null {
  const at = data.pointed_m;
  if (at === null || at < data.bottom_m || at > data.top_m) return null;
  const y = toPx(frame.heights, at);
  return <path d={`M${LEFT} ${y.toFixed(1)}H${frame.right_px}`} stroke="var(--accent)" stroke-width={1.25} />;
}
