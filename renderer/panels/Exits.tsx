// Where and when to exit: the plan's exit beside the window's ends and its best on the carrier's line, and the best
// place anywhere at the planned height and time; for an aircraft the run headings compared. Any of them is taken into
// the plan with one key, and each number tells where it came from.
import { clock } from '../../core/words/times.ts';
import type { JSX } from 'preact';
import type { Advice } from '../../core/advice/advise.ts';
import type { RunHeading } from '../../core/advice/window.ts';
import { formatDegreesMinutes } from '../../core/words/positions.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { editOnce } from '../state/acting/actions.ts';
import { moveExit, setRunHeading, takeExit } from '../state/stored/edits.ts';
import { direction } from '../../core/words/winds.ts';
import { distance } from '../../core/words/lengths.ts';
import { MISSING, quantity, chanceWords, sampledChance } from '../../core/words/numbers.ts';
import {
  comparedExits,
  exitWhy,
  HEADINGS_SHOWN,
  headingKey,
  headingWhy,
  missingOf,
  type Compared,
  type ComparedExit,
  type ExitColumn,
  type HeadingColumn,
} from '../state/explaining/exitsWhy.ts';
import type { Json } from '../state/stored/json.ts';
import type { Store } from '../state/derived/store.ts';
import type { Provenance } from '../state/stored/tellers.ts';
import { Figure } from './Figure.tsx';
import { Word } from '../parts/buttons.tsx';
import { Heads } from '../parts/rows.tsx';

export function ExitsSection({
  store,
  mission,
}: {
  readonly store: Store;
  readonly mission: Mission;
}): JSX.Element | null {
  const advice = store.decision.advice.value?.advice ?? null;
  // Once the jumper has left there is no exit to choose.
  if (advice === null || advice.basis !== null) return null;
  const of: Compared = { advice, mission, units: store.units.value };
  return (
    <section aria-labelledby="exits">
      <h2 id="exits">Exits</h2>
      <p class="quiet small">{targetWords(advice)}</p>
      <table class="limits exits">
        <caption class="said">Exits compared</caption>
        <Heads names={['exit', 'time', 'in zone', 'hazards', <span class="said">take into the plan</span>]} />
        {comparedExits(of).map((row) => (
          <ExitRow key={row.name} store={store} of={of} row={row} />
        ))}
      </table>
      {advice.headings.length === 0 ? null : <Headings store={store} of={of} />}
    </section>
  );
}

function targetWords({ zone, exits }: Advice): string {
  const aim = zone === null ? 'The plan names no zone to steer for.' : `Chances of landing in ${zone}.`;
  if (exits.options.length === 0) return `${aim} The plan names no carrier: exits along its line are not compared.`;
  return exits.window === null ? `${aim} No exit on the carrier’s line keeps the limits.` : aim;
}

/** How an exit gets into the plan; null for the one that is there. */
function takeOf({ name, position, height_m, time_s }: ComparedExit): ((plan: Json) => Json) | null {
  if (name === 'as planned') return null;
  return name === 'best anywhere'
    ? (plan) => moveExit(plan, position)
    : (plan) => takeExit(plan, position, height_m, time_s);
}

interface RowProps {
  readonly store: Store;
  readonly of: Compared;
  readonly row: ComparedExit;
}

function ExitRow({ store, of, row }: RowProps): JSX.Element {
  const { name, position, time_s, chance, hazards } = row;
  const take = takeOf(row);
  const figure = (column: ExitColumn, text: string): JSX.Element => (
    <Told
      of={`exit/${name}/${column}`}
      why={() => exitWhy(of, row, column)}
      text={text}
      missing={missingOf(of, row, column)}
      what={`${column}, ${name}`}
    />
  );
  return (
    <tbody data-exit={name}>
      <tr>
        <th scope="row">{name}</th>
        <td>{figure('time', clock(time_s, of.units))}</td>
        <td>{figure('in zone', sampledChance(chance, row.chanceError))}</td>
        <td>{figure('hazards', chanceWords(hazards))}</td>
        <td>{take === null ? null : <TakeButton store={store} name={name} label={`exit: ${name}`} take={take} />}</td>
      </tr>
      <tr>
        <td class="small quiet place" colSpan={5}>
          {figure('place', formatDegreesMinutes(position))}
        </td>
      </tr>
    </tbody>
  );
}

interface ToldProps {
  readonly of: string;
  readonly why: () => Provenance;
  readonly text: string;
  /** Why the number is missing; null: it is not. */
  readonly missing: string | null;
  /** Said after it: column and row. */
  readonly what: string;
}

/** A number of the comparison that tells where it came from; without one, why. */
function Told({ of, why, text, missing, what }: ToldProps): JSX.Element {
  return (
    <Figure of={of} why={why}>
      <span title={missing ?? undefined}>
        {missing === null ? text : MISSING}
        <span class="said">{missing === null ? ` ${what}` : `: ${missing}; ${what}`}</span>
      </span>
    </Figure>
  );
}

interface TakeProps {
  readonly store: Store;
  readonly name: string;
  readonly label: string;
  readonly take: (plan: Json) => Json;
}

function TakeButton({ store, name, label, take }: TakeProps): JSX.Element {
  return (
    <Word small onClick={() => editOnce(store, label, take)}>
      Take<span class="said"> {name} into the plan</span>
    </Word>
  );
}

/** The most promising, and the one into the wind, which is the habit. */
function Headings({ store, of }: { readonly store: Store; readonly of: Compared }): JSX.Element {
  const shown = of.advice.headings.filter((one, i) => one.intoWind || i < HEADINGS_SHOWN);
  return (
    <table class="limits exits">
      <caption class="quiet small">
        Run headings, true, through the place of the run; into the wind is common practice
      </caption>
      <Heads names={['heading', 'in zone', 'reach left', 'good for', <span class="said">take into the plan</span>]} />
      <tbody>
        {shown.map((one) => (
          <HeadingRow key={headingKey(one, 'heading')} store={store} of={of} run={one} />
        ))}
      </tbody>
    </table>
  );
}

function HeadingRow({
  store,
  of,
  run,
}: {
  readonly store: Store;
  readonly of: Compared;
  readonly run: RunHeading;
}): JSX.Element {
  const { heading_deg, intoWind, share, margin_m, goodFor_s } = run;
  const heading = direction(heading_deg);
  const figure = (column: HeadingColumn, text: string): JSX.Element => (
    <Told
      of={headingKey(run, column)}
      why={() => headingWhy(of, run, column)}
      text={text}
      missing={of.advice.zone === null && column !== 'heading' ? 'the plan names no zone' : null}
      what={column === 'heading' ? 'run heading' : `${column}, heading ${heading}`}
    />
  );
  return (
    <tr data-run={intoWind ? 'into the wind' : heading}>
      <th scope="row">
        {figure('heading', heading)}
        {intoWind ? <span class="small quiet place">into the wind</span> : null}
      </th>
      <td>{figure('in zone', chanceWords(share))}</td>
      <td>{figure('reach left', margin_m < 0 ? `−${distance(-margin_m, of.units)}` : distance(margin_m, of.units))}</td>
      <td>{figure('good for', quantity(goodFor_s, 's'))}</td>
      <td>
        <TakeButton
          store={store}
          name={`heading ${heading}`}
          label="run heading"
          take={(plan) => setRunHeading(plan, heading_deg)}
        />
      </td>
    </tr>
  );
}
