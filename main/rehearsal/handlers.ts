// What a window may ask of rehearsals. What they need is loaded with the first one: most desks never have any.
import type { LogEvent } from '../../core/log/events.ts';
import type { DeskEvents, Handlers } from '../contract.ts';
import type { Missions } from '../files/missions.ts';
import { canonical, notOpened, onPath, refused } from '../files/paths.ts';
import { rehearsalsOffered } from '../rehearsals.ts';
import type { Rehearsing, RehearsingHost } from './rehearsing.ts';

export interface RehearsalPart {
  readonly handlers: Pick<Handlers, Extract<keyof Handlers, `rehearsal/${string}`>>;
  /** An event went into a log. */
  readonly logged: (event: DeskEvents['log/appended']) => void;
  readonly close: () => Promise<void>;
}

export function rehearsalPart(missions: Missions, host: RehearsingHost): RehearsalPart {
  let made: Rehearsing | null = null;
  const rehearsing = async (): Promise<Rehearsing> => {
    const loaded = await import('./rehearsing.ts');
    return (made ??= new loaded.Rehearsing(host));
  };
  return {
    handlers: {
      'rehearsal/offered': async () => rehearsalsOffered,
      'rehearsal/start': (wanted, missionPath) =>
        onPath(missionPath, async () => {
          const mission = await missions.latest(await canonical(missionPath));
          return mission === null ? notOpened(missionPath) : (await rehearsing()).start(wanted, mission.path);
        }),
      'rehearsal/state': async () => made?.state() ?? null,
      'rehearsal/do': async (deed) => made?.do(deed) ?? refused('There is no rehearsal at this desk.'),
    },
    logged: ({ missionPath, event }: { readonly missionPath: string; readonly event: LogEvent }) =>
      made?.logged(missionPath, event),
    close: async () => made?.close(),
  };
}
