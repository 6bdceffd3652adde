// The ways in which it can go: every case with its landing, its size, its time, who is there first, and its weight,
// typed in place; each of them on the map or off it. Under them an exit on the way up, and what else comes down.
import type { ComponentChildren, JSX } from 'preact';
import { CASE_KINDS, CUSTOM, weightOf } from '../../core/mission/caseKinds.ts';
import { casesOf, type FlightCase } from '../../core/mission/cases.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { CaseShown, RecoveryAnswer } from '../../core/work/recoveryWork.ts';
import { useStore } from '../context.ts';
import { direction } from '../../core/words/winds.ts';
import { distance, halfAxes } from '../../core/words/lengths.ts';
import { duration } from '../../core/words/times.ts';
import { MISSING, number, quantity, THIN, type Units, chanceWords, percent } from '../../core/words/numbers.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { Heads } from '../parts/rows.tsx';
import { percentScale } from '../parts/scales.ts';
import { editOnce } from '../state/acting/actions.ts';
import {
  caseKey,
  caseShareWhy,
  caseWhy,
  weightField,
  weightWhy,
  type CaseColumn,
  type CasesOf,
  type LandedCase,
} from '../state/explaining/casesWhy.ts';
import { caseIndex, setCaseWeight } from '../state/stored/edits.ts';
import { drop } from '../state/stored/json.ts';
import { toggleAllCases, toggleCase } from '../state/stored/recovery.ts';
import { timeWords } from '../state/derived/recoveryScene.ts';
import type { Store } from '../state/derived/store.ts';
import { AscentSection } from './Ascent.tsx';
import { CaseSign } from './CaseSign.tsx';
import { Figure } from './Figure.tsx';
import { Others } from './Others.tsx';
import { Why } from './Why.tsx';
import { Working } from './Working.tsx';
import { KeepOnMap, Word } from '../parts/buttons.tsx';

export function CasesPanel(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  if (mission === null) return <p class="quiet">Open a mission to see its cases.</p>;
  return (
    <>
      <CasesSection store={store} mission={mission} />
      {store.provenance.value === null ? null : <Why store={store} />}
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
  const { recovery } = store;
  const answer = recovery.answer.value;
  // Weights and their sentences are the plan's of this moment, before anything is flown again.
  const { cases, problems } = casesOf(mission, store.situation.value?.state ?? null);
  const hidden = recovery.hidden.value;
  return (
    <section aria-labelledby="cases" aria-busy={recovery.working.value !== null}>
      <CasesHead store={store} />
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
        <Heads names={['landing', `90${THIN}% within`, 'touchdown', 'weight, %']} />
        {cases.map((one) => (
          <CaseRows
            key={one.name}
            store={store}
            mission={mission}
            one={one}
            shown={shownOf(answer, one)}
            on={!hidden.has(one.name)}
          />
        ))}
      </table>
    </section>
  );
}

/** The heading, with what of the cases the map shows. */
function CasesHead({ store: { recovery, view } }: { readonly store: Store }): JSX.Element {
  const names = (recovery.answer.value?.cases ?? []).map(({ row }) => row.case.name);
  const together = names.length > 0 && names.every((name) => !recovery.hidden.value.has(name));
  return (
    <div class="run">
      <h2 id="cases">Cases</h2>
      <div class="layers">
        <Word small aria-pressed={together} onClick={() => toggleAllCases(recovery, names)}>
          All cases
        </Word>
        <KeepOnMap pinned={view.casesPinned} what="Cases and bodies" />
      </div>
    </div>
  );
}

const shownOf = (answer: RecoveryAnswer | null, one: FlightCase): CaseShown | null =>
  answer?.cases.find(({ row }) => row.case.name === one.name) ?? null;

interface RowsProps extends Part {
  readonly one: FlightCase;
  readonly shown: CaseShown | null;
  readonly on: boolean;
}

export function CaseRows({ store, mission, one, shown, on }: RowsProps): JSX.Element {
  const own = caseIndex(store.plan.value ?? null, one.kind, one.name);
  const raw = mission.cases?.[own]?.weight ?? weightOf(one.kind === 'custom' ? CUSTOM : CASE_KINDS[one.kind], mission);
  const row = shown?.row ?? null;
  const counts = Math.abs(raw - one.weight) > 5e-4;
  const answer = store.recovery.answer.value;
  const landed = row?.kind === 'lands' && answer !== null ? row : null;
  const of: CasesOf | null =
    answer === null ? null : { answer, mission, wind: store.world.value?.wind ?? null, units: store.units.value };
  return (
    <tbody data-case={one.name}>
      <CaseHead store={store} one={one} lands={row?.kind === 'lands'} on={on} raw={raw} />
      {row?.kind === 'no landing' ? (
        <tr>
          <td colSpan={4} class="source small">
            {MISSING} no landing: {row.why}
          </td>
        </tr>
      ) : null}
      {landed === null || of === null ? null : <Landing store={store} of={of} row={landed} />}
      <tr>
        <td colSpan={4} class="source small">
          {landed === null || of === null ? null : <Details of={of} row={landed} />}
          {counts ? (
            <>
              <Figure of={`case/${one.name}/counts`} why={() => weightWhy(one, raw)}>
                counts as {percent(one.weight)}
                <span class="said"> {one.name}</span>
              </Figure>
              {'; '}
            </>
          ) : null}
          {one.weightFrom === 'the mission' ? 'the mission’s weight' : `default weight (${one.weightFrom})`}
          {mission.cases?.[own]?.weight === undefined ? null : (
            <Default store={store} index={own} name={one.name} alone={ownOnlyWeight(mission, own)} />
          )}
        </td>
      </tr>
    </tbody>
  );
}

interface HeadProps extends Pick<RowsProps, 'store' | 'one' | 'on'> {
  readonly lands: boolean;
  /** The weight before all are divided by their sum. */
  readonly raw: number;
}

/** Its mark and name, whether the map shows it, and its weight. */
function CaseHead({ store, one, lands, on, raw }: HeadProps): JSX.Element {
  const { name, mark, meaning } = one;
  return (
    <tr>
      <th scope="rowgroup" colSpan={3} title={meaning}>
        <CaseSign mark={mark} /> <span class="case-name">{name}</span>
        <Word small aria-pressed={on} disabled={!lands} onClick={() => toggleCase(store.recovery, name)}>
          <span aria-hidden="true">On map</span>
          <span class="said">{name} on the map</span>
        </Word>
      </th>
      <td class="held">
        <NumberField
          field={weightField(one)}
          label={`Weight of ${name}, per cent`}
          undoLabel={`weight of ${name}`}
          scale={{ ...percentScale(1), unit: '' }}
          value={raw}
          change={(json, next) => setCaseWeight(json, one, next)}
        />
      </td>
    </tr>
  );
}

/** A case that the plan names for its weight alone is a default again without it. */
function ownOnlyWeight(mission: Mission, index: number): boolean {
  const own = mission.cases?.[index];
  return (
    own !== undefined &&
    own.kind !== 'custom' &&
    Object.keys(own).every((key) => ['name', 'kind', 'weight'].includes(key))
  );
}

interface DefaultProps {
  readonly store: Store;
  readonly index: number;
  readonly name: string;
  readonly alone: boolean;
}

function Default({ store, index, name, alone }: DefaultProps): JSX.Element {
  const path = alone ? ['cases', index] : ['cases', index, 'weight'];
  const run = () => editOnce(store, `default weight of ${name}`, (plan) => drop(plan, path));
  return (
    <Word small title="Back to the program’s default" onClick={run}>
      Default<span class="said"> weight of {name}</span>
    </Word>
  );
}

interface LandedProps {
  readonly store: Store;
  readonly of: CasesOf;
  readonly row: LandedCase;
}

interface NumberProps {
  readonly of: CasesOf;
  readonly row: LandedCase;
  readonly column: CaseColumn;
  readonly also?: () => void;
  readonly children: ComponentChildren;
  /** Said after it: what of which case. */
  readonly said: string;
}

/** A number of a case that tells where it came from. */
function CaseNumber({ of, row, column, also, children, said }: NumberProps): JSX.Element {
  return (
    <Figure of={caseKey(row, column)} why={() => caseWhy(of, row, column)} {...(also === undefined ? {} : { also })}>
      {children}
      <span class="said"> {said}</span>
    </Figure>
  );
}

function Landing({ store, of, row }: LandedProps): JSX.Element {
  const { units } = of;
  const { ellipse90 } = row;
  const { name } = row.case;
  const show = () => (store.goal.value = { position: row.landing });
  return (
    <tr class="lands">
      <td>
        <CaseNumber of={of} row={row} column="landing" also={show} said={`of ${name}: show it on the map`}>
          <span title="Show it on the map">{placeOf(row, units)}</span>
        </CaseNumber>
      </td>
      <td>
        <CaseNumber of={of} row={row} column="size" said={`90${THIN}% within, ${name}`}>
          {halfAxes(ellipse90.semiMajor_m, ellipse90.semiMinor_m, units)}
        </CaseNumber>
      </td>
      <td>
        <CaseNumber of={of} row={row} column="touchdown" said={`touchdown, ${name}`}>
          {timeWords(store, row.touchdown_s)}
        </CaseNumber>
      </td>
      <td class="small quiet">
        <CaseNumber of={of} row={row} column="time" said={`to the ground, ${name}`}>
          {duration(row.time_s)}
        </CaseNumber>
      </td>
    </tr>
  );
}

function placeOf(row: LandedCase, units: Units): string {
  if (row.where.kind === 'inside') return `in ${row.where.zone}`;
  if (row.case.kind === 'as planned')
    return row.where.kind === 'outside' ? `${distance(row.where.short_m, units)} outside` : 'as predicted';
  return row.away_m < 30 ? 'as planned' : `${distance(row.away_m, units)} ${direction(row.bearing_deg)}`;
}

/** How it comes down, and what of zones, hazards and crews depends on it. */
function Details({ of, row }: Omit<LandedProps, 'store'>): JSX.Element {
  const { units } = of;
  const detail = (column: CaseColumn, words: string): JSX.Element => (
    <CaseNumber key={column} of={of} row={row} column={column} said={row.case.name}>
      {words}
    </CaseNumber>
  );
  const share = (kind: 'zone' | 'hazard', { name, p }: { readonly name: string; readonly p: number }): JSX.Element => (
    <Figure
      key={`${kind} ${name}`}
      of={`case/${row.case.name}/${kind}/${name}`}
      why={() => caseShareWhy(of, row, kind, name, p)}
    >
      {kind === 'hazard' ? 'hazard ' : ''}
      {name} {chanceWords(p)}
      <span class="said"> {row.case.name}</span>
    </Figure>
  );
  const first = row.firstCrew;
  const unreached =
    first !== null && first.unreached > 0.005 ? `, ${number(100 * first.unreached)}${THIN}% not reached` : '';
  const parts = [
    ...(row.opens_m === null ? [detail('sink', `impact at ${quantity(row.sink_mps, 'm/s')}`)] : []),
    ...(row.opens_m !== null && row.underCanopy_s > 1200
      ? [detail('under canopy', `${duration(row.underCanopy_s)} under canopy`)]
      : []),
    ...row.zones.slice(0, 2).map((one) => share('zone', one)),
    ...row.hazards
      .filter((one) => one.p >= 0.005)
      .slice(0, 3)
      .map((one) => share('hazard', one)),
    ...(row.case.kind === 'as planned' || row.where.kind !== 'inside' || row.away_m < 30
      ? []
      : [detail('away', `${distance(row.away_m, units)} from the planned landing`)]),
    first === null
      ? 'no crew reaches it'
      : detail('first crew', `${first.crew.name} first, in ${duration(first.p50_s)}${unreached}`),
  ];
  return <>{parts.flatMap((part) => [part, '; '])}</>;
}
