// `plumbline rehearse --serve`: a rehearsal for a person. The fixes are served on loopback, to be followed by the
// window as any receiver; what is said on the radio is printed when it is said; what is typed is said to the crews.
// The log that the window kept is scored at the end.
import { toEnd } from '../../core/base/steps.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { LeadOrder } from '../../core/rehearsal/lead.ts';
import type { Score } from '../../core/rehearsal/score.ts';
import { clock } from '../../core/words/times.ts';
import { RehearsalRun, type RehearsalOf } from '../rehearsal/run.ts';
import { openMission } from './mission.ts';
import { standardLines, type Output } from './output.ts';

export interface Served extends RehearsalOf {
  readonly path: string;
  readonly members: number;
  /** Seconds of the rehearsal in one of the clock on the wall. */
  readonly speed: number;
}

/** Says a line to the person. */
type Talk = (line: string) => void;

/** Plays a rehearsal to its end; the score, or a sentence where the mission cannot be rehearsed. */
export async function serveRehearsal(served: Served, output: Output, talk: Talk): Promise<Score | string> {
  let isOver = (): void => undefined;
  const over = new Promise<void>((resolve) => void (isOver = resolve));
  const run = RehearsalRun.from(served, {
    heard: ({ at_s, text }) => talk(`${clock(at_s)}  ${text}`),
    over: () => isOver(),
  });
  if (typeof run === 'string') return run;
  const radio = (output.lines ?? standardLines)()[Symbol.asyncIterator]();
  try {
    for (const { body, address } of await run.open()) talk(`${body}: ${address}`);
    talk(`Begins at ${clock(run.now_s())} of the exercise clock: press Enter then.`);
    await radio.next();
    void hearOut(radio, async (line) => {
      for (const order of await orderIn(line, { served, run, output, talk })) run.take(order);
    });
    run.pace(served.speed);
    await over;
  } finally {
    // Not waited for: a line may be asked for that never comes.
    void radio.return?.();
    await run.close();
  }
  return toEnd(run.scoreInSteps(await logKept(served, output), served.members));
}

const logKept = async ({ path, mission }: Served, output: Output): Promise<readonly LogEvent[]> =>
  (await openMission(path, output))?.log ?? mission.log;

async function hearOut(radio: AsyncIterator<string>, take: (line: string) => Promise<void>): Promise<void> {
  for (let next = await radio.next(); next.done !== true; next = await radio.next()) await take(next.value);
}

interface Heard {
  readonly served: Served;
  readonly run: RehearsalRun;
  readonly output: Output;
  readonly talk: Talk;
}

/** "again NAME", and "go NAME" or "go" alone: to where the log has the touchdown, else the landing called last. */
async function orderIn(line: string, { served, run, output, talk }: Heard): Promise<readonly LeadOrder[]> {
  const [, word = '', name = ''] = /^\s*(again|go)\b\s*(.*?)\s*$/i.exec(line) ?? [];
  const isAgain = word.toLowerCase() === 'again';
  const teams = served.mission.mission.teams ?? [];
  const crews = teams.filter((one) => (name === '' ? !isAgain : one.name.toLowerCase() === name.toLowerCase()));
  if (word === '' || crews.length === 0) {
    if (line.trim() !== '') talk(`"${line.trim()}"; expected "again NAME", "go NAME" or "go", with a crew of the plan`);
    return [];
  }
  if (isAgain) return crews.map((one) => ({ kind: 'say again', crew: one.name }));
  const place = run.placeToGo(await logKept(served, output));
  if (place !== null) return crews.map((one) => ({ kind: 'go', crew: one.name, place }));
  talk('The log has no touchdown, and no landing was called: nobody knows where to go.');
  return [];
}
