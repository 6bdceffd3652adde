// What a window may ask of the feeds.
import { realpath } from 'node:fs/promises';
import type { Handlers, Outcome } from '../contract.ts';
import type { Missions } from '../files/missions.ts';
import { canonical, done, notOpened, onPath, refused, typedPath } from '../files/paths.ts';
import type { Feeds } from './feeds.ts';
import { linkAddress } from './links.ts';

export interface FeedHost {
  /** True where a person types paths: any folder may be watched then. */
  readonly typedPaths: boolean;
  readonly dialogs: { readonly feed: (kind: 'folder' | 'file') => Promise<string | null> } | null;
}

type FeedHandlers = Pick<Handlers, Extract<keyof Handlers, `feed/${string}`>>;
type Watching = Promise<Outcome<{ readonly watching: string }>>;

export function feedHandlers(feeds: Feeds, missions: Missions, options: FeedHost): FeedHandlers {
  const chosen = new Set<string>();
  const mayRead = (real: string): boolean => options.typedPaths || chosen.has(real) || missions.isBesideOpen(real);
  /** The path of the mission that is fed, where it was opened here. */
  const fed = async (missionPath: string): Promise<string | null> =>
    (await missions.latest(await canonical(missionPath)))?.path ?? null;
  const watch = (path: string, missionPath: string): Watching =>
    onPath(path, async () => {
      const mission = await fed(missionPath);
      if (mission === null) return notOpened(missionPath);
      const real = await realpath(typedPath(path));
      if (!mayRead(real))
        return refused(`${path} lies outside the folder of the mission; choose it in the dialog for watching.`);
      await feeds.watch(real, mission);
      return done({ watching: real });
    });
  return {
    'feed/watch': watch,
    async 'feed/choose'(kind, missionPath) {
      if (options.dialogs === null)
        return refused('There is no dialog here; type the path of the folder or file instead.');
      const path = await options.dialogs.feed(kind);
      if (path === null) return refused('Nothing was chosen to watch.');
      return onPath(path, async () => {
        chosen.add(await realpath(path));
        return watch(path, missionPath);
      });
    },
    'feed/follow': (wanted, missionPath) =>
      onPath(wanted.address, async () => {
        const mission = await fed(missionPath);
        if (mission === null) return notOpened(missionPath);
        const [place = '', ...sender] = wanted.address.trim().split('#');
        const to = linkAddress(place);
        if (typeof to === 'string' || to.kind !== 'path') return done({ watching: feeds.follow(wanted, mission) });
        const real = await realpath(typedPath(to.path));
        if (!mayRead(real))
          return refused(`${to.path} lies outside the folder of the mission; choose it in the dialog for watching.`);
        return done({ watching: feeds.follow({ ...wanted, address: [real, ...sender].join('#') }, mission) });
      }),
    'feed/list': async (window) => feeds.greet(window),
    'feed/take': async (id, window) =>
      feeds.take(id, window) ? done({ id }) : refused('Another window is at it, or it was taken.'),
    async 'feed/taken'(id, what) {
      feeds.taken(id, what);
      return done({ id });
    },
    'feed/stop': (path) =>
      onPath(path, async () => {
        // An address is no path, and a folder that is gone can still be released.
        if (await feeds.stop(path)) return done({ stopped: path });
        const real = await realpath(typedPath(path)).catch(() => typedPath(path));
        return (await feeds.stop(real)) ? done({ stopped: real }) : refused(`${path} is not watched.`);
      }),
  };
}
