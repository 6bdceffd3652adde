// Which hour: the plan with its exit at every whole hour of its forecasts, as a picture by day and as a list of the day
// that is read. A choice moves the plan's exit there, one step of undo.
import type { JSX } from 'preact';
import type { WhenHour } from '../../core/advice/when.ts';
import { limitSentence } from '../../core/advice/limits.ts';
import { distance, spreadSize } from '../../core/words/lengths.ts';
import { capital, chanceWords, number, type Units } from '../../core/words/numbers.ts';
import { clock, date, dayAndMonth, dayShown, roughDuration } from '../../core/words/times.ts';
import { useStore } from '../context.ts';
import { Act, Word } from '../parts/buttons.tsx';
import { askHours, stopHours, takeHour } from '../state/acting/whenActions.ts';
import type { Store } from '../state/derived/store.ts';
import { WordShape, wordClass } from '../strip/AdviceLine.tsx';
import { HoursPicture } from './HoursPicture.tsx';

export function WhenPanel(): JSX.Element | null {
  const store = useStore();
  const { when } = store;
  if (store.mission.value === null) return null;
  const hours = when.hours.value;
  const units = store.units.value;
  const days = byDay(hours, units);
  const day = days.find(([name]) => name === when.day.value) ?? days[0];
  return (
    <section class="panel-part when" aria-labelledby="when">
      <h2 id="when">When</h2>
      <p class="small quiet">
        The plan with its exit moved to each whole hour that the forecasts cover. The word is the one that would stand
        if that day’s reports agreed with the forecast. No hour is GO until a surface wind of its day is reported.
      </p>
      <Asking store={store} />
      {when.problems.value.map((text) => (
        <p key={text} class="small">
          {text}
        </p>
      ))}
      {day === undefined ? null : (
        <>
          <HoursPicture days={days} shown={day[0]} units={units} />
          <Days days={days} shown={day[0]} choose={(name) => (when.day.value = name)} />
          <ul class="when-hours" aria-label={`Hours of ${date(day[1][0]?.exit_s ?? 0)}`}>
            {day[1].map((hour) => (
              <HourRow key={hour.exit_s} store={store} hour={hour} units={units} />
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

function Asking({ store }: { readonly store: Store }): JSX.Element {
  const { when } = store;
  const done = when.hours.value.length;
  const all = when.hours_s.value.length;
  if (when.working.value)
    return (
      <p class="small" role="status">
        <progress max={Math.max(all, 1)} value={done} aria-label="Hours worked out" />
        {` ${number(done)} of ${number(all)} `}
        hours <Word onClick={() => stopHours(store)}>Stop</Word>
      </p>
    );
  const isOld = done > 0 && when.about.value !== store.plan.value;
  return (
    <>
      {when.trouble.value === null ? null : (
        <p class="wrong-words" role="alert">
          The hours could not be worked out: {when.trouble.value}
        </p>
      )}
      {isOld ? (
        <p class="small wrong-words">The plan was changed: the hours below are for the plan as it was.</p>
      ) : null}
      {done > 0 && done < all ? (
        <p class="small quiet">{`Stopped after ${number(done)} of ${number(all)} hours.`}</p>
      ) : null}
      <p>
        <Act first={done === 0} onClick={() => askHours(store)}>
          {done === 0 ? 'Work out the hours' : 'Work them out again'}
        </Act>
      </p>
    </>
  );
}

type Day = readonly [name: string, hours: readonly WhenHour[]];

function byDay(hours: readonly WhenHour[], units: Units): Day[] {
  const days = new Map<string, WhenHour[]>();
  for (const hour of hours) {
    const name = dayShown(hour.exit_s, units);
    days.set(name, [...(days.get(name) ?? []), hour]);
  }
  return [...days];
}

interface DaysProps {
  readonly days: readonly Day[];
  readonly shown: string;
  readonly choose: (name: string) => void;
}

function Days({ days, shown, choose }: DaysProps): JSX.Element {
  return (
    <div class="segments wrap" role="group" aria-label="Day">
      {days.map(([name, hours]) => (
        <Word key={name} small aria-pressed={name === shown} onClick={() => choose(name)}>
          {dayAndMonth(hours[Math.floor(hours.length / 2)]?.exit_s ?? 0)}
        </Word>
      ))}
    </div>
  );
}

interface RowProps {
  readonly store: Store;
  readonly hour: WhenHour;
  readonly units: Units;
}

function HourRow({ store, hour, units }: RowProps): JSX.Element {
  const { exit_s, asForecast, inZone, zone, light } = hour;
  const time = clock(exit_s, { ...units, today: dayShown(exit_s, units) });
  return (
    <li data-hour={time} data-word={asForecast.word} data-light={light}>
      <span class="when-time">{time}</span>
      <span class={`word-mark when-mark ${wordClass[asForecast.word]}`}>
        <WordShape word={asForecast.word} />
      </span>
      <span class="when-word">{asForecast.word}</span>
      <span class="when-chance">
        {inZone === null || zone === null ? 'no zone' : chanceWords(inZone.p)}
        <span class="said"> in {zone}</span>
      </span>
      <Word small onClick={() => takeHour(store, hour)}>
        Take<span class="said"> {time} into the plan</span>
      </Word>
      <p class="small quiet">{capital(reasonWords(hour, units))}</p>
    </li>
  );
}

/** What limits the hour, then light, spread, lead, runs and the place that would be better. */
function reasonWords(hour: WhenHour, units: Units): string {
  const { asForecast, notReached, light, spread, lead_s, runs, anywhere, inZone } = hour;
  const limits = [
    ...(notReached === null ? [] : [notReached]),
    ...asForecast.because.map((one) => limitSentence(one, units)),
  ];
  const better =
    anywhere !== null && inZone !== null && anywhere.share > inZone.p + 2 * inZone.error
      ? [`${chanceWords(anywhere.share)} from an exit ${distance(anywhere.away_m, units)} away`]
      : [];
  return [
    limits.length === 0 ? 'every limit is kept' : limits.join('; '),
    light,
    ...(spread === null ? [] : [spreadSize(90, spread, units)]),
    ...(lead_s === null ? [] : [`${roughDuration(lead_s)} after the run`]),
    ...(runs.apart_m === null ? [] : [`${number(runs.reach)} runs land within ${distance(runs.apart_m, units)}`]),
    ...better,
  ].join(' · ');
}
