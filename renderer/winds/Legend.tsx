// What the wind column draws, in words: the curves, the band, and the marks of the reports, with how many of each.
import type { JSX } from 'preact';
import { never } from '../../core/base/problem.ts';
import { useStore } from '../context.ts';
import { ReportIcon } from '../reports/ReportMark.tsx';
import { surfaceAgeSentence } from '../reports/SurfaceAge.tsx';
import type { Standing } from '../state/derived/reports.ts';
import type { ChartData } from './model.ts';
import { hourWords } from './Hours.tsx';
import { otherStrokes } from './Reported.tsx';

const markNames: { readonly [S in 'counts' | 'held' | 'struck']: string } = {
  counts: 'report',
  held: 'held back',
  struck: 'struck',
};

/** Old and withdrawn marks share the picture of what they are most like. */
function groupOf(standing: Standing): keyof typeof markNames | null {
  switch (standing) {
    case 'counts':
      return 'counts';
    case 'held':
      return 'held';
    case 'struck':
    case 'withdrawn':
      return 'struck';
    case 'left out':
    case 'refused':
      return null;
    default:
      return never(standing);
  }
}

export function Legend({ data }: { readonly data: ChartData }): JSX.Element {
  const store = useStore();
  const { winds } = store.situation.value ?? {};
  const others = data.others ?? [];
  const beside = store.reports.beside_ms.value;
  const analysed = store.world.value?.analysis !== null && winds !== undefined;
  const groups = new Set((data.reports ?? []).map((report) => groupOf(report.standing)));
  const notice = surfaceAgeSentence(store);
  return (
    <>
      <li>
        <Line stroke={data.curve === 'temperature' ? 'var(--quiet)' : 'var(--wind)'} width={2} />
        <span title={analysed ? winds.sentences.join(' ') : undefined}>
          {analysed
            ? `forecast and ${winds.used.size === 1 ? 'one report' : `${winds.used.size} reports`}`
            : 'the forecast'}
          {data.curve === 'temperature' ? '' : ', band: error'}
        </span>
      </li>
      {others.some((one) => one.kind === 'forecast') && data.curve !== 'temperature' ? (
        <li>
          <Line stroke={otherStrokes.forecast.stroke} width={1} />
          <span>the forecast alone</span>
        </li>
      ) : null}
      {beside === null || data.curve === 'temperature' ? null : (
        <li>
          <Line stroke={otherStrokes.beside.stroke} width={1.5} dash={otherStrokes.beside['stroke-dasharray']} />
          <span>{hourWords(store, beside)}</span>
        </li>
      )}
      {groups.size === 0 || data.curve === 'temperature' ? null : (
        <li class="legend-marks">
          {(['counts', 'held', 'struck'] as const)
            .filter((group) => groups.has(group))
            .map((group) => (
              <span key={group} class="nowrap">
                <ReportIcon standing={group} faded={false} />
                {markNames[group]}
              </span>
            ))}
        </li>
      )}
      {notice === null ? null : (
        <li class="caution-words">
          <span aria-hidden="true">▲</span>
          <span class="wrap">{notice}</span>
        </li>
      )}
    </>
  );
}

function Line({
  stroke,
  width,
  dash,
}: {
  readonly stroke: string;
  readonly width: number;
  readonly dash?: string;
}): JSX.Element {
  return (
    <svg width={18} height={10} aria-hidden="true">
      <path d="M0 5H18" stroke={stroke} stroke-width={width} stroke-dasharray={dash} />
    </svg>
  );
}
