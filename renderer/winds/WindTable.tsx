// The winds by height beside the chart: to read aloud, to copy, to print.
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import { useStore } from '../context.ts';
import { Act, Segments } from '../parts/buttons.tsx';
import { Heads } from '../parts/rows.tsx';
import { say } from '../state/acting/actions.ts';
import type { Units } from '../../core/words/numbers.ts';
import type { Store } from '../state/derived/store.ts';
import { tableSteps } from '../state/stored/reportsView.ts';
import { hourWords } from './Hours.tsx';
import { agedReports, firstStep, stepWords, windRows, type WindRow } from './tableRows.ts';
import { useWinds } from './useWinds.ts';

const headsOf = ({ height }: Units): readonly string[] => [
  `height ${height}`,
  'FROM true',
  'speed',
  'temp.',
  'error',
  'age',
];

const cellsOf = ({ height, from, speed, temperature, error, age }: WindRow): readonly string[] => [
  height,
  from,
  speed,
  temperature,
  error,
  age,
];

export function WindTable(): JSX.Element | null {
  const store = useStore();
  const mission = store.mission.value;
  const situation = store.situation.value;
  const units = store.units.value;
  const ground_m = mission?.site.elevation_m ?? 0;
  const top_m = Math.max(ground_m + 500, mission?.exit.altitude_m ?? 0);
  const winds = useWinds(store, top_m);
  const table = store.reportTable.value;
  const step = store.reports.tableStep.value ?? firstStep(ground_m, top_m, units);
  const rows = useMemo(() => {
    const ages = situation === null ? [] : agedReports(situation, table, winds.time_s);
    return windRows({ winds, ground_m, top_m, step, units, ages });
  }, [winds, ground_m, top_m, step, units, situation, table]);
  if (mission === null) return null;
  const title = `Winds at ${hourWords(store, winds.time_s * 1000)}, ${mission.name}`;
  return (
    <section class="wind-table" aria-labelledby="wind-table-title">
      <h2 id="wind-table-title">{title}</h2>
      <div class="file-row">
        <Segments
          label="Steps of height"
          choices={tableSteps}
          value={step}
          name={(choice) => `every ${stepWords(choice, units)}`}
          choose={(choice) => (store.reports.tableStep.value = choice)}
        />
        <Act small onClick={() => void copy(store, title, rows)}>
          Copy
        </Act>
        <Act small onClick={() => window.print()}>
          Print
        </Act>
      </div>
      <Rows store={store} rows={rows} />
      <p class="small quiet">
        Error: one standard deviation of the east or the north part. Age: of the report that weighs most at the height;
        “forecast” where no report counts, “no level” where the wind is extrapolated.
      </p>
    </section>
  );
}

function Rows({ store, rows }: { readonly store: Store; readonly rows: readonly WindRow[] }): JSX.Element {
  const pointed = store.pointedHeight_m.value;
  const point = (height_m: number | null): void => {
    store.pointedHeight_m.value = height_m;
  };
  return (
    <table aria-labelledby="wind-table-title" onPointerLeave={() => point(null)}>
      <Heads names={headsOf(store.units.value)} />
      <tbody>
        {rows.map((row) => {
          const [first, ...cells] = cellsOf(row);
          return (
            <tr
              key={row.height_m}
              class={row.height_m === pointed ? 'pointed' : undefined}
              onPointerEnter={() => point(row.height_m)}
            >
              <th scope="row">{first}</th>
              {cells.map((cell, i) => (
                <td key={i}>{cell}</td>
              ))}
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** As lines of columns, which a spreadsheet and a message both take. */
async function copy(store: Store, title: string, rows: readonly WindRow[]): Promise<void> {
  const lines = [title, headsOf(store.units.value).join('\t'), ...rows.map((row) => cellsOf(row).join('\t'))];
  try {
    await navigator.clipboard.writeText(lines.join('\n'));
    say(store, `The wind table is copied, ${rows.length} heights.`);
  } catch {
    say(
      store,
      'The wind table could not be copied: this host gives no clipboard. Mark the table and press Ctrl+C.',
      true,
    );
  }
}
