// The ways in which it can go: every case with its landing, its size, its time, who is there first, and its weight, typed in place; each
// of them on the map or off it. Under them an exit on the way up, and what else comes down.
import type { JSX } from 'preact';
import type { CaseRow } from '../../core/advice/caseTable.ts';
import { CASE_KINDS, CUSTOM } from '../../core/mission/caseKinds.ts';
import { casesOf, type FlightCase } from '../../core/mission/cases.ts';
import type { Mission } from '../../core/mission/schema.ts';
import type { CaseShown, RecoveryAnswer } from '../../core/recoveryWork.ts';
import { useStore } from '../context.ts';
import { direction, distance, duration, MISSING, number, quantity, THIN, type Units } from '../format.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { edit, endEdit } from '../state/actions.ts';
import { caseIndex, setCaseWeight } from '../state/edits.ts';
import { percentWords } from '../state/decideScene.ts';
import { drop, type Json } from '../state/json.ts';
import { toggleAllCases, toggleCase } from '../state/recovery.ts';
import { timeWords } from '../state/recoveryScene.ts';
import type { Store } from '../state/store.ts';
import { AscentSection } from './Ascent.tsx';
import { CaseSign } from './CaseSign.tsx';
import { Others } from './Others.tsx';
import { Working } from './Working.tsx';

export function CasesPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  if (mission === null) return <p class="quiet">Open a mission to see its cases.</p>;
  return (
    <>
      <CasesSection store={store} mission={mission} />
      <AscentSection store={store} />
      <Others store={store} />
    </>
  );
}

interface Part {
  readonly store: Store;
  readonly mission: Mission;
}

function CasesSection({ store, mission }: Part): JSX.Element {
  const { recovery, view } = store;
  const answer = recovery.answer.value;
  // Weights and their sentences are the plan's of this moment, before anything is flown anew.
  const { cases, problems } = casesOf(mission);
  const hidden = recovery.hidden.value;
  const drawn = answer?.cases ?? [];
  const names = drawn.map(({ row }) => row.case.name);
  const together = names.length > 0 && names.every((name) => !hidden.has(name));
  return (
    <section aria-labelledby="cases" aria-busy={recovery.working.value !== null}>
      <div class="run">
        <h2 id="cases">Cases</h2>
        <div class="layers">
          <button type="button" class="word small" aria-pressed={together} onClick={() => toggleAllCases(recovery, names)}>
            All together
          </button>
          <button
            type="button"
            class="word small"
            aria-pressed={view.casesPinned.value}
            title="Cases and bodies stay on the map when another panel is open"
            onClick={() => {
              view.casesPinned.value = !view.casesPinned.value;
            }}
          >
            Keep on map
          </button>
        </div>
      </div>
      <Working store={store} />
      {answer === null ? null : <p class="small quiet">{answer.basis}</p>}
      {problems.map((problem) => (
        <p key={problem.text} class="wrong-words">
          {problem.text}
        </p>
      ))}
      <table class="limits cases">
        <caption class="said">All cases, each with its landing, 90 % size, touchdown and first crew</caption>
        <colgroup>
          <col />
          <col />
          <col />
          <col />
        </colgroup>
        <thead>
          <tr>
            <th scope="col">landing</th>
            <th scope="col">90{THIN}% within</th>
            <th scope="col">touchdown</th>
            <th scope="col">weight, %</th>
          </tr>
        </thead>
        {cases.map((one) => (
          <CaseRows key={one.name} store={store} mission={mission} one={one} shown={shownOf(answer, one)} on={!hidden.has(one.name)} />
        ))}
      </table>
    </section>
  );
}

const shownOf = (answer: RecoveryAnswer | null, one: FlightCase): CaseShown | null =>
  answer?.cases.find(({ row }) => row.case.name === one.name) ?? null;

interface RowsProps extends Part {
  readonly one: FlightCase;
  readonly shown: CaseShown | null;
  readonly on: boolean;
}

function CaseRows({ store, mission, one, shown, on }: RowsProps): JSX.Element {
  const plan: Json = store.plan.value ?? null;
  const own = caseIndex(plan, one.kind, one.name);
  const raw = mission.cases?.[own]?.weight ?? (one.kind === 'custom' ? CUSTOM : CASE_KINDS[one.kind]).weight;
  const row = shown?.row ?? null;
  const counts = Math.abs(raw - one.weight) > 5e-4 ? `counts as ${percentWords(one.weight)}; ` : '';
  return (
    <tbody data-case={one.name}>
      <tr>
        <th scope="rowgroup" colSpan={3} title={one.meaning}>
          <CaseSign mark={one.mark} /> <span class="case-name">{one.name}</span>
          <button
            type="button"
            class="word small"
            aria-pressed={on}
            disabled={row?.kind !== 'lands'}
            onClick={() => toggleCase(store.recovery, one.name)}
          >
            <span aria-hidden="true">On map</span>
            <span class="said">{one.name} on the map</span>
          </button>
        </th>
        <td class="held">
          <NumberField
            store={store}
            field={`cases.weight.${one.kind}.${one.name}`}
            label={`Weight of ${one.name}, per cent`}
            undoLabel={`weight of ${one.name}`}
            unit=""
            value={raw}
            bounds={{ min: 0, max: 1 }}
            decimals={2}
            step={1}
            toPlan={(x) => x / 100}
            fromPlan={(x) => 100 * x}
            change={(json, next) => setCaseWeight(json, one, next)}
          />
        </td>
      </tr>
      {row === null ? null : <Landing store={store} row={row} />}
      <tr>
        <td colSpan={4} class="source small">
          {row?.kind === 'lands' ? `${detailOf(row, store)} ` : ''}
          {counts}
          {one.weightFrom === 'the mission' ? 'the mission’s weight' : `default weight (${one.weightFrom})`}
          {mission.cases?.[own]?.weight === undefined ? null : (
            <Default store={store} index={own} name={one.name} alone={ownOnlyWeight(mission, own)} />
          )}
        </td>
      </tr>
    </tbody>
  );
}

/** A case that the plan names for its weight alone is a default again without it. */
function ownOnlyWeight(mission: Mission, index: number): boolean {
  const own = mission.cases?.[index];
  return own !== undefined && own.kind !== 'custom' && Object.keys(own).every((key) => ['name', 'kind', 'weight'].includes(key));
}

function Default({
  store,
  index,
  name,
  alone,
}: {
  readonly store: Store;
  readonly index: number;
  readonly name: string;
  readonly alone: boolean;
}) {
  const run = (): void => {
    edit(store, `default weight of ${name}`, (plan) => drop(plan, alone ? ['cases', index] : ['cases', index, 'weight']));
    endEdit(store);
  };
  return (
    <button type="button" class="word small" title="Back to the program’s default" onClick={run}>
      Default<span class="said"> weight of {name}</span>
    </button>
  );
}

function Landing({ store, row }: { readonly store: Store; readonly row: CaseRow }): JSX.Element {
  const units = store.view.units.value;
  if (row.kind === 'no landing') {
    return (
      <tr>
        <td colSpan={4} class="source small">
          {MISSING} no landing: {row.why}
        </td>
      </tr>
    );
  }
  const { ellipse90 } = row;
  return (
    <tr class="lands">
      <td>
        <button
          type="button"
          class="num text"
          title="Show it on the map"
          onClick={() => {
            store.goal.value = { position: row.landing };
          }}
        >
          {placeOf(row, units)}
          <span class="said"> of {row.case.name}: show it on the map</span>
        </button>
      </td>
      <td>
        {distance(ellipse90.semiMajor_m, units)} × {distance(ellipse90.semiMinor_m, units)}
      </td>
      <td>{timeWords(store, row.touchdown_s)}</td>
      <td class="small quiet">{duration(row.time_s)}</td>
    </tr>
  );
}

function placeOf(row: Extract<CaseRow, { kind: 'lands' }>, units: Units): string {
  if (row.where.kind === 'inside') return `in ${row.where.zone}`;
  if (row.case.kind === 'as planned')
    return row.where.kind === 'outside' ? `${distance(row.where.short_m, units)} outside` : 'as predicted';
  return row.away_m < 30 ? 'as planned' : `${distance(row.away_m, units)} ${direction(row.bearing_deg)}`;
}

/** How it comes down, and what of zones, hazards and crews hangs on it. */
function detailOf(row: Extract<CaseRow, { kind: 'lands' }>, store: Store): string {
  const units = store.view.units.value;
  const how =
    row.opens_m === null
      ? `impact at ${quantity(row.sink_mps, 'm/s')}`
      : row.underCanopy_s > 1200
        ? `${duration(row.underCanopy_s)} under canopy`
        : null;
  const share = ({ name, p }: { readonly name: string; readonly p: number }): string => `${name} ${percentWords(p)}`;
  const zones = row.zones.slice(0, 2).map(share);
  const hazards = row.hazards
    .filter((one) => one.p >= 0.005)
    .slice(0, 3)
    .map(share);
  const away =
    row.case.kind === 'as planned' || row.where.kind !== 'inside' || row.away_m < 30
      ? []
      : [`${distance(row.away_m, units)} from the planned landing`];
  const first = row.firstCrew;
  const crew =
    first === null
      ? 'no crew reaches it'
      : `first ${first.crew.name} in ${duration(first.p50_s)}${first.unreached > 0.005 ? `, ${number(100 * first.unreached)}${THIN}% not reached` : ''}`;
  const parts = [how, ...zones, ...hazards.map((one) => `hazard ${one}`), ...away, crew].filter((part) => part !== null);
  return `${parts.join('; ')};`;
}
