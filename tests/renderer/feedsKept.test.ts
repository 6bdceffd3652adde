// The names of feeds that a browser keeps: whatever stands in its store is read without a throw, and two windows do not
// take each other's away.
import { expect, it } from 'vitest';
import { feedsKept, keepFeeds, type KeptFeed } from '../../renderer/state/stored/feedsKept.ts';

const storeWith = (text: string | null) => {
  let held = text;
  return { getItem: () => held, setItem: (_: string, value: string) => void (held = value) };
};
const feed = (path: string, missionPath = '/m/a.mission.json'): KeptFeed => ({ path, missionPath, body: null });

it('are put in, each once for a mission, and taken out', () => {
  const kept = storeWith(null);
  keepFeeds(kept, [feed('/a'), feed('/b')], []);
  // Another window, with another mission.
  keepFeeds(kept, [feed('/a', '/m/b.mission.json')], []);
  keepFeeds(kept, [feed('/a')], []);
  expect(keepFeeds(kept, [], [feed('/b')])).toEqual([feed('/a', '/m/b.mission.json'), feed('/a')]);
  expect(feedsKept(kept)).toEqual([feed('/a', '/m/b.mission.json'), feed('/a')]);
});

it.each([null, '', 'no JSON', '{}', '[1, null, {"path": 3}, {"path": "/a", "missionPath": "/m", "body": 4}]'])(
  'are not there where the store holds %s',
  (text) => expect(feedsKept(storeWith(text))).toEqual([]),
);

it('are the newest fifty', () => {
  const kept = storeWith(null);
  for (let k = 0; k < 60; k++) keepFeeds(kept, [feed(`/${k}`)], []);
  expect(feedsKept(kept).map(({ path }) => path)).toEqual(Array.from({ length: 50 }, (_, k) => `/${k + 10}`));
});

it('are not there where the browser keeps nothing, and nothing is thrown', () => {
  const denied = {
    getItem: (): string => {
      throw new Error('denied');
    },
    setItem: (): void => {
      throw new Error('denied');
    },
  };
  expect(keepFeeds(denied, [feed('/a')], [])).toEqual([feed('/a')]);
  expect(feedsKept(denied)).toEqual([]);
  expect(feedsKept(null)).toEqual([]);
});
