// Where and when to exit: the plan's exit beside the window's ends and its best on the carrier's line, and the best place anywhere at
// the planned height and time; for an aircraft the run headings compared. Any of them is taken into the plan with one key.
import type { JSX } from 'preact';
import type { Advice } from '../../core/advice/advise.ts';
import type { ExitOption } from '../../core/advice/exits.ts';
import { chanceOf, type RunHeading } from '../../core/advice/window.ts';
import { formatDegreesMinutes } from '../../core/earth/grid.ts';
import type { Mission } from '../../core/mission/schema.ts';
import type { LonLat } from '../../core/units.ts';
import { clock, direction, distance, MISSING, quantity } from '../format.ts';
import { edit, endEdit } from '../state/actions.ts';
import { percentWords } from '../state/decideScene.ts';
import { moveExit, setRunHeading, takeExit } from '../state/edits.ts';
import type { Json } from '../state/json.ts';
import type { Store } from '../state/store.ts';

interface Row {
  readonly name: string;
  readonly position: LonLat;
  readonly time_s: number;
  readonly chance: number;
  readonly hazards: number | null;
  readonly take: ((plan: Json) => Json) | null;
}

/** Headings beside the one into the wind. */
const HEADINGS_SHOWN = 4;

export function ExitsSection({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element | null {
  const advice = store.decision.advice.value?.advice ?? null;
  // Once the jumper has left there is no exit to choose.
  if (advice === null || advice.basis !== null) return null;
  return (
    <section aria-labelledby="exits">
      <h2 id="exits">Exits</h2>
      <p class="quiet small">{targetWords(advice)}</p>
      <table class="limits exits">
        <caption class="said">Exits compared</caption>
        <thead>
          <tr>
            <th scope="col">exit</th>
            <th scope="col">time</th>
            <th scope="col">in zone</th>
            <th scope="col">hazards</th>
            <th scope="col">
              <span class="said">take into the plan</span>
            </th>
          </tr>
        </thead>
        {rowsOf(advice, mission).map((row) => (
          <ExitRow key={row.name} store={store} mission={mission} row={row} />
        ))}
      </table>
      {advice.headings.length === 0 ? null : <Headings store={store} headings={advice.headings} />}
    </section>
  );
}

function targetWords({ zone, exits }: Advice): string {
  const aim = zone === null ? 'The plan names no zone to steer for.' : `Chances of landing in ${zone}.`;
  if (exits.options.length === 0) return `${aim} The plan names no carrier: exits along its line are not compared.`;
  return exits.window === null ? `${aim} No exit on the carrier’s line keeps the limits.` : aim;
}

function rowsOf(advice: Advice, mission: Mission): Row[] {
  const { planned, exits, anywhere, zone } = advice;
  const rowOf = (name: string, option: ExitOption, take: boolean): Row => {
    const { lon_deg, lat_deg, height_m, time_s } = option.exit;
    const position: LonLat = [lon_deg, lat_deg];
    return {
      name,
      position,
      time_s,
      chance: chanceOf(zone, option),
      hazards: option.inHazard.p,
      take: take ? (plan) => takeExit(plan, position, height_m, time_s) : null,
    };
  };
  const nearest = (time_s: number): ExitOption | undefined =>
    exits.options.toSorted((a, b) => Math.abs(a.exit.time_s - time_s) - Math.abs(b.exit.time_s - time_s))[0];
  const opens = exits.window === null ? undefined : nearest(exits.window.opens_s);
  const closes = exits.window === null ? undefined : nearest(exits.window.closes_s);
  return [
    ...(planned === null ? [] : [rowOf('as planned', planned, false)]),
    ...(opens === undefined ? [] : [rowOf('window opens', opens, true)]),
    ...(exits.best === null ? [] : [rowOf('best on the line', exits.best, true)]),
    ...(closes === undefined ? [] : [rowOf('window closes', closes, true)]),
    ...(anywhere === null
      ? []
      : [
          {
            name: 'best anywhere',
            position: anywhere.position,
            time_s: Date.parse(mission.exit.time) / 1000,
            chance: anywhere.share,
            hazards: null,
            take: (plan: Json): Json => moveExit(plan, anywhere.position),
          },
        ]),
  ];
}

function ExitRow({ store, mission, row }: { readonly store: Store; readonly mission: Mission; readonly row: Row }): JSX.Element {
  const units = store.view.units.value;
  const { name, position, time_s, chance, hazards, take } = row;
  return (
    <tbody data-exit={name}>
      <tr>
        <th scope="row">{name}</th>
        <td>{clock(time_s * 1000, units, mission.site.timeZone)}</td>
        <td>{Number.isNaN(chance) ? MISSING : percentWords(chance)}</td>
        <td>{hazards === null ? <NotAsked /> : percentWords(hazards)}</td>
        <td>{take === null ? null : <TakeButton store={store} name={name} label={`exit: ${name}`} take={take} />}</td>
      </tr>
      <tr>
        <td class="small quiet place" colSpan={5}>
          {formatDegreesMinutes(position)}
        </td>
      </tr>
    </tbody>
  );
}

const NotAsked = (): JSX.Element => (
  <span title="the place is sought for the zone alone">
    {MISSING}
    <span class="said">: the place is sought for the zone alone</span>
  </span>
);

interface TakeProps {
  readonly store: Store;
  readonly name: string;
  readonly label: string;
  readonly take: (plan: Json) => Json;
}

function TakeButton({ store, name, label, take }: TakeProps): JSX.Element {
  const run = (): void => {
    edit(store, label, take);
    endEdit(store);
  };
  return (
    <button type="button" class="word small" onClick={run}>
      Take<span class="said"> {name} into the plan</span>
    </button>
  );
}

/** The most promising, and the one into the wind, which is the habit. */
function Headings({ store, headings }: { readonly store: Store; readonly headings: readonly RunHeading[] }): JSX.Element {
  const units = store.view.units.value;
  const shown = headings.filter((one, i) => one.intoWind || i < HEADINGS_SHOWN);
  return (
    <table class="limits exits">
      <caption class="quiet small">Run headings, true, through the place of the run; into the wind is common practice</caption>
      <thead>
        <tr>
          <th scope="col">heading</th>
          <th scope="col">in zone</th>
          <th scope="col">reach left</th>
          <th scope="col">forgives</th>
          <th scope="col">
            <span class="said">take into the plan</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {shown.map((one) => (
          <tr key={one.heading_deg}>
            <th scope="row">
              {direction(one.heading_deg)}
              {one.intoWind ? <span class="small quiet place">into the wind</span> : null}
            </th>
            <td>{percentWords(one.share)}</td>
            <td>{one.margin_m < 0 ? `−${distance(-one.margin_m, units)}` : distance(one.margin_m, units)}</td>
            <td>{quantity(one.forgiving_s, 's')}</td>
            <td>
              <TakeButton
                store={store}
                name={`heading ${direction(one.heading_deg)}`}
                label="run heading"
                take={(plan) => setRunHeading(plan, one.heading_deg)}
              />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
