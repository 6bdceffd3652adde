// The limits behind the word: each with its state, its value now, the number that it is held against, what is left and
// whose number it is. The numbers are typed in place; the table answers at once, the word follows with the next advice.
import type { JSX } from 'preact';
import {
  judgeLimit,
  limitsOf,
  limitText,
  type Judged,
  type LimitKind,
  type LimitState,
  type LimitValue,
} from '../../core/advice/limits.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { never } from '../../core/base/problem.ts';
import { distance } from '../../core/words/lengths.ts';
import {
  metresFrom,
  metresTo,
  MISSING,
  mpsFrom,
  mpsTo,
  number,
  quantity,
  THIN,
  type Units,
} from '../../core/words/numbers.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { edit, endEdit } from '../state/acting/actions.ts';
import { defaultLimit, setLimit } from '../state/stored/decideEdits.ts';
import { leftWhy, limitWhy } from '../state/explaining/decideWhy.ts';
import { missingWords } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';
import { Figure } from './Figure.tsx';
import { Word } from '../parts/buttons.tsx';

interface Typed {
  readonly unit: string;
  readonly toPlan: (typed: number) => number;
  readonly fromPlan: (value: number) => number;
  readonly decimals: number;
  readonly step: number;
  readonly max: number;
  /** A value as it is read. */
  readonly words: (value: number) => string;
}

/** How a limit is shown and typed, by the switches. */
export function typedLimit(unit: LimitKind['unit'], units: Units): Typed {
  switch (unit) {
    case 'm/s': {
      const decimals = units.speed === 'm/s' ? 1 : 0;
      const fromPlan = (x: number): number => mpsTo(x, units.speed);
      const words = (x: number): string => quantity(fromPlan(x), units.speed, decimals);
      const step = units.speed === 'm/s' ? 0.5 : 1;
      return {
        unit: units.speed,
        toPlan: (x) => mpsFrom(x, units.speed),
        fromPlan,
        decimals: 1,
        step,
        max: 100,
        words,
      };
    }
    case 'share': {
      const words = (x: number): string => `${number(100 * x)}${THIN}%`;
      return { unit: '%', toPlan: (x) => x / 100, fromPlan: (x) => 100 * x, decimals: 1, step: 1, max: 1, words };
    }
    case 's': {
      const words = (x: number): string => quantity(x / 60, 'min', Math.abs(x) < 600 ? 1 : 0);
      return { unit: 'min', toPlan: (x) => x * 60, fromPlan: (x) => x / 60, decimals: 1, step: 5, max: 1e6, words };
    }
    case 'g':
      return {
        unit: 'g',
        toPlan: (x) => x,
        fromPlan: (x) => x,
        decimals: 1,
        step: 0.5,
        max: 100,
        words: (x) => quantity(x, 'g', 1),
      };
    case 'm': {
      const fromPlan = (x: number): number => metresTo(x, units.length);
      const words = (x: number): string => (x < 0 ? `−${distance(-x, units)}` : distance(x, units));
      return {
        unit: units.length,
        toPlan: (x) => metresFrom(x, units.length),
        fromPlan,
        decimals: 0,
        step: 50,
        max: 50_000,
        words,
      };
    }
    case 'heights':
    case 'count': {
      const decimals = unit === 'count' ? 0 : 1;
      const words = (x: number): string => limitText(x, unit);
      return { unit: '', toPlan: (x) => x, fromPlan: (x) => x, decimals, step: 1, max: 100, words };
    }
    default:
      return never(unit);
  }
}

/** Values of the last advice against the numbers of the plan as it is now. */
export function judgedNow(mission: Mission, advised: readonly Judged[]): Judged[] {
  const values = new Map(advised.map((one) => [one.limit.name, one.value]));
  const waiting: LimitValue = { kind: 'not given', why: 'it is being worked out' };
  return limitsOf(mission.jumper, mission.limits).limits.map((limit) =>
    judgeLimit(limit, values.get(limit.name) ?? waiting),
  );
}

/** Values that are not of now stand there with that said. */
function NotCurrent({ store }: { readonly store: Store }): JSX.Element | null {
  const verdict = store.verdict.value;
  if (verdict.kind === 'current' || store.decision.advice.value === null) return null;
  return (
    <p class="small quiet" role="status">
      {missingWords(verdict)} The values below are of the state before.
    </p>
  );
}

export function LimitsSection({ store, mission }: { readonly store: Store; readonly mission: Mission }): JSX.Element {
  const answer = store.decision.advice.value;
  const rows = judgedNow(mission, answer?.advice.limits ?? []);
  const unknown = answer?.advice.unknownLimits ?? [];
  return (
    <section aria-labelledby="limits">
      <h2 id="limits">Limits</h2>
      <NotCurrent store={store} />
      <table class="limits">
        <thead>
          <tr>
            <th scope="col">whose</th>
            <th scope="col">now</th>
            <th scope="col">held to</th>
            <th scope="col">left</th>
          </tr>
        </thead>
        {rows.map((judged) => (
          <LimitRow key={judged.limit.name} store={store} mission={mission} judged={judged} />
        ))}
      </table>
      {unknown.length === 0 ? null : (
        <p class="small quiet">{`Kept in the file and not used, as no limit of this name is known here: ${unknown.join(', ')}.`}</p>
      )}
    </section>
  );
}

const stateWords = (judged: Judged): string =>
  judged.state === 'broken' ? (judged.limit.severity === 'no-go' ? 'NO-GO' : 'HOLD') : judged.state;

function StateMark({ state }: { readonly state: LimitState }): JSX.Element {
  const kind = state === 'not given' ? 'none' : state;
  return (
    <svg viewBox="-6 -6 12 12" width="12" height="12" aria-hidden="true" class={kind} stroke-width="1.75">
      {state === 'kept' ? <path d="M-4.5 0l3 3.5 6-7" /> : null}
      {state === 'close' ? <path d="M0-4.5L5 4H-5Z" /> : null}
      {state === 'broken' ? <path d="M-4.5-4.5h9v9h-9Z" /> : null}
      {state === 'not given' ? <path d="M-4 0h8" /> : null}
    </svg>
  );
}

interface RowProps {
  readonly store: Store;
  readonly mission: Mission;
  readonly judged: Judged;
}

function LimitRow({ store, mission, judged }: RowProps): JSX.Element {
  const { limit, value, margin, state } = judged;
  const { words, ...scale } = typedLimit(limit.unit, store.units.value);
  const own = mission.limits?.[limit.name] !== undefined;
  return (
    <tbody data-limit={limit.name} data-state={state}>
      <tr>
        <th scope="rowgroup" colSpan={4}>
          <span class="state">
            <StateMark state={state} />
            <span class={state === 'broken' ? 'broken-word' : 'said'}>{stateWords(judged)} </span>
          </span>
          {limit.label}
          {own ? <DefaultButton store={store} limit={limit} /> : null}
        </th>
      </tr>
      <tr>
        <td class="source small" title={limit.source}>
          {limit.source}
        </td>
        <td>
          <Figure store={store} of={`limit/${limit.name}`} why={() => limitWhy(judged)}>
            {value.kind === 'known' ? (
              words(value.value)
            ) : (
              <span title={value.why}>
                {MISSING}
                <span class="said">: {value.why}</span>
              </span>
            )}
          </Figure>
        </td>
        <td class="held">
          <span class="quiet" title={limit.keep === 'below' ? 'at most' : 'at least'} aria-hidden="true">
            {limit.keep === 'below' ? '≤' : '≥'}
          </span>
          <NumberField
            store={store}
            field={`limits.${limit.name}`}
            label={`${limit.label}, ${limit.keep === 'below' ? 'at most' : 'at least'}`}
            undoLabel={`limit of ${limit.label}`}
            {...scale}
            value={limit.number}
            bounds={{ min: 0, max: scale.max }}
            change={(plan, next) => setLimit(plan, limit.name, next)}
          />
        </td>
        <td>
          <Figure store={store} of={`limit/${limit.name}/left`} why={() => leftWhy(judged, words)}>
            {margin === null ? MISSING : words(margin)}
            <span class="said"> left, {limit.label}</span>
          </Figure>
        </td>
      </tr>
    </tbody>
  );
}

function DefaultButton({ store, limit }: { readonly store: Store; readonly limit: LimitKind }): JSX.Element {
  const run = (): void => {
    edit(store, `default limit of ${limit.label}`, (plan) => defaultLimit(plan, limit.name));
    endEdit(store);
  };
  return (
    <Word small title="Back to the program’s default" onClick={run}>
      Default<span class="said"> for {limit.label}</span>
    </Word>
  );
}
