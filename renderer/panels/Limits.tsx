// The limits behind the word: each with its state, its value now, the number that it is held against, what is left and
// whose number it is. The numbers are typed in place; the table answers at once, the word follows with the next advice.
import type { JSX } from 'preact';
import {
  judgeLimit,
  limitsOf,
  limitText,
  limitTexts,
  type Judged,
  type LimitKind,
  type LimitState,
  type LimitValue,
} from '../../core/advice/limits.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { never } from '../../core/base/problem.ts';
import { distance } from '../../core/words/lengths.ts';
import { MISSING, number, quantity, THIN, type Units } from '../../core/words/numbers.ts';
import { NumberField } from '../parts/PlanField.tsx';
import { Heads, Missing } from '../parts/rows.tsx';
import { lengthScale, percentScale, scaleOf, speedScale, type Scale } from '../parts/scales.ts';
import { editOnce } from '../state/acting/actions.ts';
import { defaultLimit, setLimit } from '../state/stored/decideEdits.ts';
import { leftWhy, limitWhy } from '../state/explaining/decideWhy.ts';
import { missingWords } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';
import { Figure } from './Figure.tsx';
import { Word } from '../parts/buttons.tsx';

/** How a limit is typed, and how a value of it is read. */
interface Typed extends Scale {
  readonly words: (value: number) => string;
}

/** How a limit is shown and typed, by the switches. */
export function typedLimit(unit: LimitKind['unit'], units: Units): Typed {
  switch (unit) {
    case 'm/s': {
      const whole = units.speed !== 'm/s';
      const scale = { ...speedScale(units, 100, { decimals: 1 }), step: whole ? 1 : 0.5 };
      return { ...scale, words: (x) => quantity(scale.fromPlan(x), units.speed, whole ? 0 : 1) };
    }
    case 'share':
      return { ...percentScale(1, { decimals: 1 }), words: (x) => `${number(100 * x)}${THIN}%` };
    case 's': {
      const minutes = { decimals: 1, toPlan: (x: number) => x * 60, fromPlan: (x: number) => x / 60 };
      return {
        ...scaleOf('min', 1e6, 5, minutes),
        words: (x) => quantity(x / 60, 'min', Math.abs(x) < 600 ? 1 : 0),
      };
    }
    case 'g':
      return { ...scaleOf('g', 100, 0.5, { decimals: 1 }), words: (x) => quantity(x, 'g', 1) };
    case 'm':
      return {
        ...lengthScale(units, 50_000, 50, { decimals: 0 }),
        words: (x) => (x < 0 ? `−${distance(-x, units)}` : distance(x, units)),
      };
    case 'heights':
    case 'count':
      return {
        ...scaleOf('', 100, 1, { decimals: unit === 'count' ? 0 : 1 }),
        words: (x) => limitText(x, unit),
      };
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
      {missingWords(verdict)} The values below are from before that.
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
        <Heads names={[<span class="said">limit</span>, 'now', 'held to', 'left']} />
        {rows.map((judged) => (
          <LimitRow key={judged.limit.name} store={store} mission={mission} judged={judged} />
        ))}
      </table>
      {unknown.length === 0 ? null : (
        <p class="small quiet">
          {`Kept in the file but not used, for this version knows no limit by this name: ${unknown.join(', ')}.`}
        </p>
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
  // A share that rounds to its limit is told from it.
  const shares = value.kind === 'known' && limit.unit === 'share' ? limitTexts(value.value, limit) : null;
  return (
    <tbody data-limit={limit.name} data-state={state}>
      <tr>
        <th scope="rowgroup" colSpan={4}>
          <span class="limit-head">
            <span class="state">
              <StateMark state={state} />
              <span class={state === 'broken' ? 'broken-word' : 'said'}>{stateWords(judged)} </span>
            </span>
            <span>{limit.label}</span>
            <span class="whose small" title={limit.source}>
              {whose(limit)}
            </span>
            {own ? <DefaultButton store={store} limit={limit} /> : null}
          </span>
        </th>
      </tr>
      <tr>
        <td />
        <td>
          <Figure of={`limit/${limit.name}`} why={() => limitWhy(judged)}>
            {value.kind === 'known' ? (shares?.[0] ?? words(value.value)) : <Missing why={value.why} />}
          </Figure>
        </td>
        <td class="held">
          <span class="quiet" title={limit.keep === 'below' ? 'at most' : 'at least'} aria-hidden="true">
            {limit.keep === 'below' ? '≤' : '≥'}
          </span>
          <NumberField
            field={`limits.${limit.name}`}
            label={`${limit.label}, ${limit.keep === 'below' ? 'at most' : 'at least'}`}
            undoLabel={`limit of ${limit.label}`}
            scale={scale}
            value={limit.number}
            change={(plan, next) => setLimit(plan, limit.name, next)}
          />
        </td>
        <td>
          <Figure of={`limit/${limit.name}/left`} why={() => leftWhy(judged, words)}>
            {margin === null ? MISSING : shares === null ? words(margin) : `${margin < 0 ? '−' : ''}${shares[2]}`}
            <span class="said"> left, {limit.label}</span>
          </Figure>
        </td>
      </tr>
    </tbody>
  );
}

/** Whose limit it is, without the reason, which its explanation has. */
const whose = ({ source }: LimitKind): string =>
  source.includes('common practice') ? 'common practice' : (/^.*?(?=[;:]| asks |$)/.exec(source)?.[0] ?? source);

function DefaultButton({ store, limit }: { readonly store: Store; readonly limit: LimitKind }): JSX.Element {
  const run = () => editOnce(store, `default limit of ${limit.label}`, (plan) => defaultLimit(plan, limit.name));
  return (
    <Word small title="Back to the program’s default" onClick={run}>
      Default<span class="said"> for {limit.label}</span>
    </Word>
  );
}
