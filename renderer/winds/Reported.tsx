// Reports and other hours on the wind column's drawing: a mark for each report at its height with its standard error,
// hollow where it is held back, struck through where it was corrected; the forecast alone and another hour as curves of
// their own.
import type { JSX } from 'preact';
import { ReportMark } from '../reports/ReportMark.tsx';
import type { ChartData, ChartReport, ProfilePoint } from './model.ts';
import { toPx, type Frame, type Scale } from './scale.ts';
import { mpsTo } from '../../core/words/numbers.ts';

interface Props {
  readonly data: ChartData;
  readonly frame: Frame;
  readonly scale: Scale;
}

const inside = (height_m: number, data: ChartData): boolean => height_m >= data.bottom_m && height_m <= data.top_m;

/** The forecast alone is fine and quiet; the other hour is in dots and dashes, which extrapolation never is. */
export const otherStrokes = {
  forecast: { stroke: 'var(--quiet)', 'stroke-width': 1 },
  beside: { stroke: 'var(--accent)', 'stroke-width': 1.5, 'stroke-dasharray': '7 3 1.5 3' },
} as const;

export function OtherCurves({ data, frame, scale }: Props): JSX.Element | null {
  const { others = [], units, curve } = data;
  if (curve === 'temperature') return null;
  const value = (point: ProfilePoint): number =>
    mpsTo(curve === 'wind' ? Math.hypot(point.u_mps, point.v_mps) : point.u_mps, units.speed);
  return (
    <g fill="none" stroke-linejoin="round">
      {others.map(({ kind, profile }) => {
        const points = profile.filter((point) => inside(point.height_m, data));
        const path = points
          .map((point) => `${toPx(scale, value(point)).toFixed(1)} ${toPx(frame.heights, point.height_m).toFixed(1)}`)
          .join('L');
        return points.length < 2 ? null : <path key={kind} d={`M${path}`} {...otherStrokes[kind]} />;
      })}
    </g>
  );
}

/** Where a report stands across the drawing, kept within it. */
function acrossOf({ data, frame, scale }: Props, { u_mps, v_mps }: ChartReport): number {
  const value = mpsTo(data.curve === 'wind' ? Math.hypot(u_mps, v_mps) : u_mps, data.units.speed);
  return Math.max(frame.curve.from_px, Math.min(frame.curve.to_px, toPx(scale, value)));
}

const AGE_GAP_PX = 14;
const LOW_PX = 18;

export function Reported(props: Props): JSX.Element | null {
  const { reports = [], curve } = props.data;
  if (curve === 'temperature') return null;
  const shown = reports.filter((report) => inside(report.height_m, props.data));
  return (
    <g>
      {[...shown].reverse().map((report) => (
        <Mark key={report.seq} {...props} report={report} />
      ))}
      <Ages {...props} shown={shown} />
    </g>
  );
}

/** One report, with the error that it counts with. */
function Mark(props: Props & { readonly report: ChartReport }): JSX.Element {
  const { data, frame, scale, report } = props;
  const { standing, faded } = report;
  const x = acrossOf(props, report);
  const y = toPx(frame.heights, report.height_m);
  const half = Math.abs(toPx(scale, mpsTo(report.std_mps, data.units.speed)) - toPx(scale, 0));
  const from = Math.max(frame.curve.from_px, x - half).toFixed(1);
  const to = Math.min(frame.curve.to_px, x + half).toFixed(1);
  return (
    <g>
      {standing === 'counts' || standing === 'held' ? (
        <path d={`M${from} ${y.toFixed(1)}H${to}`} stroke="var(--wind)" stroke-width={faded ? 0.75 : 1.25} />
      ) : null}
      <ReportMark standing={standing} x={x} y={y} r={4.5} faded={faded} chosen={report.seq === data.chosenReport} />
    </g>
  );
}

/** How old the reports are. The newest stands on top, and has its age written first. */
function Ages(props: Props & { readonly shown: readonly ChartReport[] }): JSX.Element {
  const { frame, shown } = props;
  const { heights, right_px } = frame;
  const aged: number[] = [];
  const labels = shown.filter((report) => {
    const y = toPx(heights, report.height_m);
    const gone = report.standing === 'struck' || report.standing === 'withdrawn';
    if (gone || aged.some((other) => Math.abs(other - y) < AGE_GAP_PX)) return false;
    aged.push(y);
    return true;
  });
  return (
    <>
      {labels.map((report) => {
        const y = toPx(heights, report.height_m);
        // Near the ground the name of the touchdown stands at the right: the age stands left of all marks there.
        const low = heights.from_px - y < LOW_PX;
        const group = low ? shown.filter((one) => Math.abs(toPx(heights, one.height_m) - y) < LOW_PX) : [report];
        const left = Math.min(...group.map((one) => acrossOf(props, one)));
        return (
          <text
            key={report.seq}
            x={low ? left - 8 : Math.min(left + 8, right_px - 2 - 6.2 * report.age.length)}
            y={y - 4}
            text-anchor={low ? 'end' : 'start'}
            stroke="var(--paper)"
            stroke-width={3}
            paint-order="stroke"
          >
            {report.age}
          </text>
        );
      })}
    </>
  );
}
