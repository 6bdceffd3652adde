// `plumbline rehearse --serve`: a rehearsal for a person. The fixes are served on loopback, to be followed by the
// window as any receiver; what is said on the radio is printed when it is said; what is typed is said to the crews.
// The log that the window kept is scored at the end.
import { missionAt } from '../../core/log/fold.ts';
import { defaultMoment_s } from '../../core/mission/situation.ts';
import { placeToGo } from '../../core/rehearsal/lead.ts';
import { raisedIn } from '../../core/rehearsal/raised.ts';
import type { RehearsalScenario } from '../../core/rehearsal/scenario.ts';
import { scoreOf, type Score } from '../../core/rehearsal/score.ts';
import { Simulator } from '../../core/rehearsal/simulator.ts';
import { hiddenTruth, situationBefore, type HiddenTruth, type RehearsedMission } from '../../core/rehearsal/truth.ts';
import type { LonLat } from '../../core/base/units.ts';
import { clock } from '../../core/words/times.ts';
import { PlayedFeeds } from '../feeds/played.ts';
import { openMission } from './mission.ts';
import { standardLines, type Output } from './output.ts';

export interface Served {
  readonly path: string;
  readonly mission: RehearsedMission;
  readonly scenario: RehearsalScenario;
  readonly seed: number;
  readonly members: number;
  /** Seconds of the rehearsal in one of the clock on the wall. */
  readonly speed: number;
}

const TICK_ms = 200;
const BODY = 'jumper';

/** Says a line to the person. */
type Talk = (line: string) => void;

/** Plays a rehearsal to its end; the score, or a sentence where the mission cannot be rehearsed. */
export async function serveRehearsal(served: Served, output: Output, talk: Talk): Promise<Score | string> {
  const { mission: of, scenario, seed, members } = served;
  const begins = situationBefore(of, scenario);
  const truth = hiddenTruth(begins, scenario, seed);
  if (typeof truth === 'string') return truth;
  const simulator = new Simulator(begins, scenario, truth, seed);
  const played = new PlayedFeeds();
  const radio = (output.lines ?? standardLines)()[Symbol.asyncIterator]();
  try {
    for (const body of [BODY, ...(of.mission.teams ?? []).map(({ name }) => name)])
      talk(`${body}: ${await played.open(body)}`);
    talk(`Begins at ${clock(truth.begins_s)} of the exercise clock: press Enter then.`);
    await radio.next();
    await play(served, { truth, simulator, played, radio }, output, talk);
  } finally {
    // Not waited for: a line may be asked for that never comes.
    void radio.return?.();
    await played.close();
  }
  const log = (await openMission(served.path, output))?.log ?? of.log;
  const raised = raisedIn(of, begins, log, truth.touchdown_s, { members, seed });
  return scoreOf(of, { truth, said: simulator.said, fixes: simulator.fixes }, log, raised);
}

interface Played {
  readonly truth: HiddenTruth;
  readonly simulator: Simulator;
  readonly played: PlayedFeeds;
  readonly radio: AsyncIterator<string>;
}

/** Until nothing more comes. */
function play(served: Served, { truth, simulator, played, radio }: Played, output: Output, talk: Talk): Promise<void> {
  const from_ms = performance.now();
  const now_s = (): number => truth.begins_s + (served.speed * (performance.now() - from_ms)) / 1000;
  void hearOut(radio, async (line) => {
    for (const order of await orderIn(line, served, output, talk)) simulator.take(order, now_s());
  });
  return new Promise((resolve) => {
    const timer = setInterval(() => {
      const at_s = now_s();
      for (const sent of simulator.until(at_s))
        if (sent.kind === 'fix') played.send(sent.body, sent.lines);
        else talk(`${clock(sent.at_s)}  ${sent.text}`);
      if (!simulator.isOver(at_s)) return;
      clearInterval(timer);
      resolve();
    }, TICK_ms);
  });
}

async function hearOut(radio: AsyncIterator<string>, take: (line: string) => Promise<void>): Promise<void> {
  for (let next = await radio.next(); next.done !== true; next = await radio.next()) await take(next.value);
}

type Orders = readonly Parameters<Simulator['take']>[0][];

/** "again NAME", and "go NAME" or "go" alone: to where the log has the touchdown, else the landing called last. */
async function orderIn(line: string, served: Served, output: Output, talk: Talk): Promise<Orders> {
  const [, word = '', name = ''] = /^\s*(again|go)\b\s*(.*?)\s*$/i.exec(line) ?? [];
  const isAgain = word.toLowerCase() === 'again';
  const teams = served.mission.mission.teams ?? [];
  const crews = teams.filter((one) => (name === '' ? !isAgain : one.name.toLowerCase() === name.toLowerCase()));
  if (word === '' || crews.length === 0) {
    if (line.trim() !== '') talk(`"${line.trim()}"; expected "again NAME", "go NAME" or "go", with a crew of the plan`);
    return [];
  }
  if (isAgain) return crews.map((one) => ({ kind: 'say again', crew: one.name }));
  const place = await placeCalled(served, output);
  if (place !== null) return crews.map((one) => ({ kind: 'go', crew: one.name, place }));
  talk('The log has no touchdown, and no landing was called: nobody knows where to go.');
  return [];
}

async function placeCalled({ path, mission: of }: Served, output: Output): Promise<LonLat | null> {
  const log = (await openMission(path, output))?.log ?? [];
  return placeToGo(missionAt(of.mission, log, defaultMoment_s(of.mission, log)), log);
}
