// The hours as a picture, a row a day: the light behind, the chance of the zone as the height of a bar, the word as its
// colour and foot; below, over the whole time, how the spread grows and how far the runs lie apart. The list beside it
// says the same in words.
import type { JSX } from 'preact';
import type { WhenHour } from '../../core/advice/when.ts';
import { distance } from '../../core/words/lengths.ts';
import { number, type Units } from '../../core/words/numbers.ts';
import { dayAndMonth, offset_s } from '../../core/words/times.ts';
import { wordClass } from '../strip/AdviceLine.tsx';

const LEFT = 46;
const CELL = 12;
const ROW = 26;
const TOP = 14;
const WIDTH = LEFT + 24 * CELL;
const CURVE = 40;
const DAY_S = 86_400;

interface PictureProps {
  readonly days: readonly (readonly [name: string, hours: readonly WhenHour[]])[];
  readonly shown: string;
  readonly units: Units;
}

export function HoursPicture({ days, shown, units }: PictureProps): JSX.Element {
  const hours = days.flatMap(([, list]) => list);
  const counted = (word: string): string => number(hours.filter(({ asForecast }) => asForecast.word === word).length);
  const words = `${counted('GO')} hours GO, ${counted('HOLD')} HOLD, ${counted('NO-GO')} NO-GO as forecast`;
  const height = TOP + days.length * ROW;
  return (
    <figure class="when-picture">
      <svg viewBox={`0 0 ${WIDTH} ${height}`} width="100%" role="img" aria-label={words}>
        {['00', '06', '12', '18'].map((hour) => (
          <text key={hour} x={LEFT + Number(hour) * CELL} y={10} class="small-text">
            {hour}
          </text>
        ))}
        {days.map(([name, list], i) => (
          <DayRow key={name} hours={list} top={TOP + i * ROW} shown={name === shown} units={units} />
        ))}
      </svg>
      <Curves hours={hours} units={units} />
      <figcaption class="small quiet">
        {words}. The higher the bar, the likelier the zone; full height is 100 of 100. Hatched: dark.
      </figcaption>
    </figure>
  );
}

interface DayRowProps {
  readonly hours: readonly WhenHour[];
  readonly top: number;
  readonly shown: boolean;
  readonly units: Units;
}

function DayRow({ hours, top, shown, units }: DayRowProps): JSX.Element {
  const shift_s = units.time === 'local' ? (offset_s(hours[0]?.exit_s ?? 0, units.timeZone) ?? 0) : 0;
  const column = (exit_s: number): number => Math.floor(((((exit_s + shift_s) % DAY_S) + DAY_S) % DAY_S) / 3600);
  return (
    <g>
      <text x={0} y={top + ROW - 8} class={shown ? 'small-text chosen' : 'small-text'}>
        {dayAndMonth((hours[0]?.exit_s ?? 0) + shift_s)}
      </text>
      {hours.map((hour) => (
        <HourCell key={hour.exit_s} hour={hour} x={LEFT + column(hour.exit_s) * CELL} top={top} />
      ))}
    </g>
  );
}

function HourCell({
  hour,
  x,
  top,
}: {
  readonly hour: WhenHour;
  readonly x: number;
  readonly top: number;
}): JSX.Element {
  const { asForecast, inZone, light, notReached } = hour;
  const most = ROW - 9;
  const high = most * (inZone?.p ?? 0);
  const foot = top + ROW - 3;
  return (
    <g class={wordClass[asForecast.word]}>
      <rect x={x} y={top + 1} width={CELL - 1} height={ROW - 3} class={`light ${light}`} />
      {light === 'dark' ? <path d={`M${x} ${foot - 1}L${x + CELL - 1} ${top + 2}`} class="hatch" /> : null}
      <rect
        x={x + 2}
        y={foot - 3 - high}
        width={CELL - 5}
        height={high}
        class={notReached === null ? 'bar' : 'bar open'}
      />
      {asForecast.word === 'GO' ? <circle cx={x + CELL / 2 - 0.5} cy={foot - 1.5} r={1.8} class="foot" /> : null}
      {asForecast.word === 'NO-GO' ? <rect x={x + 1} y={foot - 3} width={CELL - 3} height={3} class="foot" /> : null}
      {asForecast.word === 'HOLD' ? (
        <path d={`M${x + CELL / 2 - 0.5} ${foot - 3.4}l2.6 3.4h-5.2Z`} class="foot" />
      ) : null}
    </g>
  );
}

/** The half axis of the spread as a line, the distance between runs as dots, over the hours in order. */
function Curves({ hours, units }: { readonly hours: readonly WhenHour[]; readonly units: Units }): JSX.Element | null {
  const spreads = hours.map(({ spread }) => spread?.semiMajor_m ?? NaN);
  const apart = hours.map(({ runs }) => runs.apart_m ?? NaN);
  const finite = [...spreads, ...apart].filter((x) => Number.isFinite(x));
  if (finite.length === 0) return null;
  const most_m = Math.max(...finite, 1);
  const x = (i: number): number => LEFT + ((24 * CELL) / Math.max(hours.length, 1)) * (i + 0.5);
  const y = (value_m: number): number => CURVE - 4 - ((CURVE - 8) * value_m) / most_m;
  const points = spreads.flatMap((value_m, i) => (Number.isFinite(value_m) ? [`${x(i)},${y(value_m)}`] : []));
  const [first = NaN, last = NaN] = [spreads.find(Number.isFinite), spreads.findLast(Number.isFinite)];
  const words = `Spread from ±${distance(first, units)} in the first hour to ±${distance(last, units)} in the last`;
  return (
    <>
      <svg viewBox={`0 0 ${WIDTH} ${CURVE}`} width="100%" role="img" aria-label={words}>
        <line x1={LEFT} x2={WIDTH} y1={CURVE - 4} y2={CURVE - 4} class="axis" />
        <text x={0} y={12} class="small-text">
          {distance(most_m, units)}
        </text>
        <polyline points={points.join(' ')} class="spread-line" />
        {apart.map((value_m, i) =>
          Number.isFinite(value_m) ? <circle key={i} cx={x(i)} cy={y(value_m)} r={1.4} class="runs-dot" /> : null,
        )}
      </svg>
      <p class="small quiet">
        {words}
        {apart.some(Number.isFinite) ? '; dots: how far apart the runs land, left to drift.' : '.'}
      </p>
    </>
  );
}
