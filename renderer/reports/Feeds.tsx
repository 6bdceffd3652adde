// Where reports come from by themselves: the folders and station files that are watched, when each was last heard, and
// what it brought.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { choosePath, feedsOff, followBody, forgetFeed, stopFeed, switchOn, watchPath } from '../state/acting/feeds.ts';
import type { Store } from '../state/derived/store.ts';
import type { KeptFeed } from '../state/stored/feedsKept.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { statedHeight } from '../../core/words/lengths.ts';
import { number } from '../../core/words/numbers.ts';
import type { FeedState } from '../../main/contract.ts';
import { age, clock } from '../../core/words/times.ts';
import { Act, Word } from '../parts/buttons.tsx';

export function Feeds(): JSX.Element {
  const store = useStore();
  const feeds = store.reports.feeds.value;
  const off = feedsOff(store);
  return (
    <div class="feeds">
      <Start store={store} />
      <Follow store={store} />
      {feeds.length + off.length === 0 ? (
        <p class="quiet">
          Nothing is watched. A watched folder gives each wind file, report or balloon track that is put into it; a
          station file gives its new lines. What is already there is not entered. A link gives the fixes of one body:
          NMEA 0183, gpsd or APRS lines.
        </p>
      ) : (
        <ul class="problems" aria-label="Feeds">
          {off.map((feed) => (
            <OffLine key={feed.path} store={store} feed={feed} />
          ))}
          {feeds.map((feed) => (
            <FeedLine key={feed.path} store={store} feed={feed} />
          ))}
        </ul>
      )}
    </div>
  );
}

function Start({ store }: { readonly store: Store }): JSX.Element {
  const path = useSignal('');
  const dialogs = store.about.value?.dialogs === true;
  const submit = (event: Event): void => {
    event.preventDefault();
    const wanted = path.value;
    void watchPath(store, wanted).then(() => {
      path.value = '';
    });
  };
  return (
    <>
      <form class="row one" onSubmit={submit}>
        <div class="field grow">
          <label for="feed-path">Folder or station file to watch</label>
          <div class="box">
            <input
              id="feed-path"
              value={path.value}
              autocomplete="off"
              spellcheck={false}
              onInput={(event) => (path.value = event.currentTarget.value)}
            />
          </div>
        </div>
        <button type="submit" class="act">
          Watch
        </button>
      </form>
      {dialogs ? (
        <p class="report-buttons">
          <Act onClick={() => void choosePath(store, 'folder')}>Choose a folder</Act>
          <Act onClick={() => void choosePath(store, 'file')}>Choose a station file</Act>
        </p>
      ) : null}
    </>
  );
}

/** Bodies that fixes can be of, as the log names them. */
function bodiesOf(mission: Mission): readonly string[] {
  const own = (['jumper', 'gondola', 'envelope'] as const).filter((name) => mission[name] !== undefined);
  return [...own, ...(mission.teams ?? []).map((team) => team.name)];
}

function Follow({ store }: { readonly store: Store }): JSX.Element | null {
  const address = useSignal('');
  const body = useSignal('jumper');
  const mission = store.mission.value;
  if (mission === null) return null;
  const submit = (event: Event): void => {
    event.preventDefault();
    void followBody(store, body.value, address.value).then(() => {
      address.value = '';
    });
  };
  return (
    <form class="row one" onSubmit={submit}>
      <div class="field">
        <label for="follow-body">Fixes of</label>
        <select id="follow-body" value={body.value} onChange={(event) => (body.value = event.currentTarget.value)}>
          {bodiesOf(mission).map((name) => (
            <option key={name}>{name}</option>
          ))}
        </select>
      </div>
      <div class="field grow">
        <label for="follow-address">from tcp://HOST:PORT, udp://HOST:PORT or a file</label>
        <div class="box">
          <input
            id="follow-address"
            value={address.value}
            autocomplete="off"
            spellcheck={false}
            onInput={(event) => (address.value = event.currentTarget.value)}
          />
        </div>
      </div>
      <button type="submit" class="act">
        Follow
      </button>
    </form>
  );
}

/** "nothing heard since 07:24:00Z", "last heard 07:26:10Z, now". Times are the mission's own. */
function heardWords({ heard, since }: FeedState, store: Store): string {
  const ahead_s = store.ownClock_ms.value / 1000;
  const at_s = (iso: string): number => Date.parse(iso) / 1000 + ahead_s;
  const units = store.units.value;
  if (heard === null) return `nothing heard since ${clock(at_s(since), units)}`;
  const age_s = Math.max(0, store.now_ms.value / 1000 - at_s(heard));
  return `last heard ${clock(at_s(heard), units)}, ${age(age_s)}`;
}

/** Whose fixes, how the link is, where the last one was and how old it is, how many come. */
function followWords({ link, body, lastFix, perMinute, errors }: FeedState, store: Store): string {
  const units = store.units.value;
  const bad = errors === 0 ? '' : `, ${number(errors)} ${errors === 1 ? 'line' : 'lines'} left out`;
  if (lastFix === null) return `${body ?? ''} · ${link} · no fix yet${bad}`;
  const age_s = Math.max(0, (store.now_ms.value - Date.parse(lastFix.at)) / 1000);
  const height = lastFix.height_m === null ? '' : ` at ${statedHeight({ height_m: lastFix.height_m }, units)}`;
  const rate = `${number(perMinute)} a minute`;
  return `${body ?? ''} · ${link} · last fix${height}, ${age(age_s)} · ${rate}${bad}`;
}

/** A feed that was on when the desk was last here. */
function OffLine({ store, feed }: { readonly store: Store; readonly feed: KeptFeed }): JSX.Element {
  return (
    <li>
      <div class="feed-path" title={feed.path}>
        {feed.path}
      </div>
      <div class="wrong-words">
        Off: the desk was started again, or it was stopped elsewhere. Nothing comes from here
        {feed.body === null ? '' : ` of ${feed.body}`} until it is switched on, and what came meanwhile is not entered.
      </div>
      <Word small onClick={() => void switchOn(store, feed)} aria-label={`Switch on ${feed.path}`}>
        Switch on
      </Word>
      <Word small onClick={() => forgetFeed(store, feed)} aria-label={`Forget ${feed.path}`}>
        Forget
      </Word>
    </li>
  );
}

function FeedLine({ store, feed }: { readonly store: Store; readonly feed: FeedState }): JSX.Element {
  const repeats = feed.repeats === 0 ? '' : `, ${feed.repeats} were in the log already`;
  const what = feed.body === null ? (feed.taken === 1 ? 'one wind' : `${feed.taken} winds`) : `${feed.taken} fixes`;
  const waiting = feed.waiting === 0 ? '' : `, ${feed.waiting} waiting`;
  return (
    <li>
      <div class="feed-path" title={feed.path}>
        {feed.path}
      </div>
      {feed.body === null ? null : <div class="small">{followWords(feed, store)}</div>}
      <div class="small quiet">
        {heardWords(feed, store)} · {what} entered{repeats}
        {waiting}
      </div>
      <div class={feed.amiss ? 'wrong-words' : 'small'}>{feed.said}</div>
      <Word small onClick={() => void stopFeed(store, feed.path)} aria-label={`Stop watching ${feed.path}`}>
        Stop
      </Word>
    </li>
  );
}
