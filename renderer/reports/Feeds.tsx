// Where reports come from by themselves: the folders and station files that are watched, when each was last heard, and
// what it brought.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { choosePath, stopFeed, watchPath } from '../state/acting/feeds.ts';
import type { Feed } from '../state/stored/reportsView.ts';
import type { Store } from '../state/derived/store.ts';
import { age, clock } from '../../core/words/times.ts';
import { Act, Word } from '../parts/buttons.tsx';

export function Feeds(): JSX.Element {
  const store = useStore();
  const feeds = store.reports.feeds.value;
  return (
    <div class="feeds">
      <Start store={store} />
      {feeds.length === 0 ? (
        <p class="quiet">
          Nothing is watched. A watched folder gives each wind file, report or balloon track that is put into it; a
          station file gives its new lines. What is there already is not entered.
        </p>
      ) : (
        <ul class="problems" aria-label="Feeds">
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

function FeedLine({ store, feed }: { readonly store: Store; readonly feed: Feed }): JSX.Element {
  const units = store.units.value;
  const now_ms = store.live_s.value * 1000;
  const heard =
    feed.heard_ms === null
      ? `nothing heard since ${clock(feed.since_ms / 1000, units)}`
      : `last heard ${clock(feed.heard_ms / 1000, units)}, ${age(Math.max(0, now_ms - feed.heard_ms) / 1000)}`;
  const repeats = feed.repeats === 0 ? '' : `, ${feed.repeats} were in the log already`;
  return (
    <li>
      <div class="feed-path" title={feed.path}>
        {feed.path}
      </div>
      <div class="small quiet">
        {heard} · {feed.taken === 1 ? 'one wind' : `${feed.taken} winds`} entered{repeats}
      </div>
      <div class={feed.amiss ? 'wrong-words' : 'small'}>{feed.said}</div>
      <Word small onClick={() => void stopFeed(store, feed.path)} aria-label={`Stop watching ${feed.path}`}>
        Stop
      </Word>
    </li>
  );
}
