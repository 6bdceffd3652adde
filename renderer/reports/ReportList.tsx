// Every report with what became of it, newest first; above the list what has to be decided; below it the one that is
// looked at, with one key each for what may be done to it.
import { isConfirmable } from '../../core/winds/meanings.ts';
import { landmarksOf } from '../../core/plan/places.ts';
import { useMemo } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { age, clock } from '../../core/words/times.ts';
import { type Units, capital, chanceWords } from '../../core/words/numbers.ts';
import { LongList } from '../parts/LongList.tsx';
import { say } from '../state/acting/actions.ts';
import { landmarkToward } from '../../core/words/places.ts';
import {
  FADED_WEIGHT,
  filtered,
  reportHeight,
  reportWind,
  reportWindToward,
  standingWords,
  weightOf,
  whoWords,
  type ReportRow,
  type ReportTable,
} from '../state/derived/reports.ts';
import { beginCorrection, beginLine, beginWithdrawal, confirm } from '../state/acting/reportActions.ts';
import { reportFilters, type ReportFilter } from '../state/stored/reportsView.ts';
import { expectedLanding, type Store } from '../state/derived/store.ts';
import { Contradictions, Decide } from './Decide.tsx';
import { NOT_IN_THE_PAST, ReportButtons } from './ReportButtons.tsx';
import { ReportIcon } from './ReportMark.tsx';
import { Word } from '../parts/buttons.tsx';

const ROW_PX = 56;

const filterNames: { readonly [F in ReportFilter]: string } = {
  all: 'all',
  counts: 'count',
  held: 'held back',
  not: 'do not count',
};

export function ReportList(): JSX.Element {
  const store = useStore();
  const table = store.reportTable.value;
  const { filter, search, chosen } = store.reports;
  const rows = useMemo(() => filtered(table, filter.value, search.value), [table, filter.value, search.value]);
  if (table.rows.length === 0) {
    return (
      <p class="quiet">
        No wind has been reported {store.past.value ? 'by then' : 'yet'}. Type one on the entry line below as it was
        said: “Ground One 090/7 kt”, “from the north 5 to 10 knots”; it is read back before Enter logs it.
      </p>
    );
  }
  const row = chosen.value === null ? null : (table.bySeq.get(chosen.value) ?? null);
  return (
    <>
      <Decide table={table} />
      <Contradictions table={table} />
      <Filters table={table} />
      <LongList
        id="reports"
        label={
          `Reports, ${rows.length} of ${table.rows.length}, newest first. Arrows walk; C confirms, E corrects, ` +
          'W withdraws'
        }
        rows={rows}
        rowHeight_px={ROW_PX}
        keyOf={(one) => String(one.seq)}
        chosen={chosen.value === null ? null : String(chosen.value)}
        onChoose={(one) => (chosen.value = one.seq)}
        onKey={(key, one) => reportKey(store, key, one)}
      >
        {(one) => <Row store={store} row={one} />}
      </LongList>
      {rows.length === 0 ? <p class="quiet small">None of {table.rows.length} reports fits.</p> : null}
      {row === null ? null : <Chosen store={store} row={row} />}
    </>
  );
}

/** One deliberate key each; answers whether the key was one. */
export function reportKey(store: Store, key: string, row: ReportRow): boolean {
  const word = key.toLowerCase();
  if (store.past.value && (word === 'c' || word === 'e' || word === 'w')) {
    say(store, NOT_IN_THE_PAST, true);
    return true;
  }
  switch (word) {
    case 'c':
      if (row.held !== null && isConfirmable(row.held.kind)) void confirm(store, row.id);
      else beginLine(store, `confirm ${row.id}`);
      return true;
    case 'e':
      beginCorrection(store, row);
      return true;
    case 'w':
      beginWithdrawal(store, row);
      return true;
    case 'escape':
      if (store.reports.chosen.value === null) return false;
      store.reports.chosen.value = null;
      return true;
    default:
      return false;
  }
}

function Filters({ table }: { readonly table: ReportTable }): JSX.Element {
  const { filter, search } = useStore().reports;
  return (
    <div class="report-filters small">
      <span role="group" aria-label="Which reports">
        {reportFilters.map((name) => (
          <Word key={name} aria-pressed={filter.value === name} onClick={() => (filter.value = name)}>
            {table.counts[name]} {filterNames[name]}
          </Word>
        ))}
      </span>
      <input
        type="search"
        aria-label="Find reports by who, where, wind or id"
        placeholder="Find"
        value={search.value}
        onInput={(event) => (search.value = event.currentTarget.value)}
      />
    </div>
  );
}

interface RowProps {
  readonly store: Store;
  readonly row: ReportRow;
}

/** "takes 31 % of the forecast’s error" of one that counts; else what it is. */
function standingOf({ standing }: ReportRow, weight: number): string {
  return standing === 'counts' ? `takes ${chanceWords(weight)} of the forecast’s error` : standingWords[standing];
}

function Row({ store, row }: RowProps): JSX.Element {
  const situation = store.situation.value;
  const units = store.units.value;
  const { report, standing } = row;
  const weight = situation === null || standing !== 'counts' ? 0 : weightOf(report, situation);
  const faded = standing !== 'held' && weight < FADED_WEIGHT;
  const gone = standing === 'struck' || standing === 'withdrawn';
  return (
    <div class={`report-row small ${faded ? 'faded' : ''}`}>
      <ReportIcon standing={standing} faded={faded} />
      <div class="report-head">
        <span class="report-who">
          {row.id} <span class="quiet">{whoWords(report)}</span>
        </span>
        <span class="quiet nowrap">{ageOf(store, row, units)}</span>
      </div>
      <div class={`report-wind ${gone ? 'struck' : ''}`}>
        {reportWind(report, units)}
        <span class="quiet"> · {reportHeight(report, units)}</span>
      </div>
      <div class={`report-why ${standing === 'held' ? 'caution-words' : 'quiet'}`} title={row.sentence}>
        {standingOf(row, weight)}
        {standing === 'counts' ? '' : `: ${row.sentence}`}
      </div>
    </div>
  );
}

function ageOf(store: Store, { report }: ReportRow, units: Units): string {
  const age_s = store.shown_s.value - report.observed_s;
  return `${clock(report.observed_s, units)} · ${age(age_s)}`;
}

/** The whole of one report. */
function Chosen({ store, row }: RowProps): JSX.Element {
  const mission = store.mission.value;
  const situation = store.situation.value;
  const units = store.units.value;
  const { report } = row;
  const { event } = report;
  const toward =
    mission === null
      ? null
      : landmarkToward(landmarksOf(mission), expectedLanding(store, mission), event.from_deg + 180);
  const logged_ms = report.at_s * 1000;
  return (
    <section class="why chosen-report" aria-label={`Report ${row.id}`}>
      <h2>
        {row.id}: {whoWords(report)}
      </h2>
      <p>
        {reportWindToward(report, units, toward)}; {reportHeight(report, units)}
      </p>
      <p class="small">
        {row.standing === 'counts' && situation !== null
          ? `Counts: alone it would take ${chanceWords(weightOf(report, situation))} off the variance of the ` +
            'forecast’s error at its height over the site.'
          : `${capital(row.sentence)}${/[.!?]$/.test(row.sentence) ? '' : '.'}`}
      </p>
      <p class="small quiet">
        {event.text === undefined ? '' : `“${event.text}” · `}
        observed {clock(report.observed_s, units)} · logged {clock(logged_ms / 1000, units)}
        {event.enteredBy === undefined ? '' : ` by ${event.enteredBy}`} · placed by {report.placedBy}
      </p>
      <ReportButtons store={store} row={row} />
    </section>
  );
}
