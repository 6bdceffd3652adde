// The mark of a report, the same in the list and in the wind column: a triangle that stands for somebody on the ground,
// filled where it counts, hollow where it is held back, with a line through where it was struck or withdrawn, a dashed
// outline where it does not count.
import { never } from '../../core/base/problem.ts';
import type { JSX } from 'preact';
import type { Standing } from '../state/derived/reports.ts';

export interface MarkProps {
  readonly standing: Standing;
  readonly x: number;
  readonly y: number;
  readonly r: number;
  /** Little weight: an old or distant report is drawn thinner. */
  readonly faded: boolean;
  readonly chosen?: boolean;
}

const triangle = (x: number, y: number, r: number): string =>
  `M${x} ${(y - r).toFixed(1)}L${(x + r).toFixed(1)} ${(y + 0.8 * r).toFixed(1)}H${(x - r).toFixed(1)}Z`;

export function ReportMark({ standing, x, y, r, faded, chosen = false }: MarkProps): JSX.Element {
  const colour = chosen ? 'var(--accent)' : 'var(--wind)';
  const width = faded ? 0.9 : 1.6;
  const shape = triangle(x, y, faded ? r * 0.8 : r);
  switch (standing) {
    case 'counts':
      return (
        <path
          d={shape}
          fill={faded ? 'var(--paper)' : colour}
          stroke={colour}
          stroke-width={width}
          fill-opacity={faded ? 0.6 : 1}
        />
      );
    case 'left out':
      return <path d={triangle(x, y, r * 0.65)} fill="none" stroke="var(--quiet)" stroke-width={0.9} />;
    case 'held':
      return <path d={shape} fill="var(--paper)" stroke="var(--caution)" stroke-width={2} />;
    case 'struck':
    case 'withdrawn':
      return (
        <g>
          <path d={shape} fill="var(--paper)" stroke="var(--quiet)" stroke-width={1} />
          <path d={`M${x - r - 2} ${y + r * 0.5}L${x + r + 2} ${y - r * 0.5}`} stroke="var(--ink)" stroke-width={1.5} />
        </g>
      );
    case 'refused':
      return <path d={shape} fill="none" stroke="var(--quiet)" stroke-width={1} stroke-dasharray="2 2" />;
    default:
      return never(standing);
  }
}

/** The mark as a small picture of its own. */
export function ReportIcon(props: { readonly standing: Standing; readonly faded: boolean }): JSX.Element {
  return (
    <svg width={16} height={16} aria-hidden="true">
      <ReportMark {...props} x={8} y={8.5} r={5} />
    </svg>
  );
}
