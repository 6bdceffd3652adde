// The recovery and the brief as a worker answers them. What is expected is the core's own answer of the same moment,
// asked another way (`recoveryOn`, `briefSource`), and that everything crosses between threads: the structured clone of
// the HTML standard (§2.7) refuses functions and loses classes.
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { recoveryOn, type Recovery } from '../../core/recovery/recovery.ts';
import { briefOf } from '../../core/brief/brief.ts';
import { acknowledgementItem } from '../../core/brief/changes.ts';
import { itemsOf } from '../../core/brief/model.ts';
import { BRIEF_OPTIONS, briefSource } from '../../core/brief/source.ts';
import { taskNow } from '../../core/brief/crewState.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { carrierOf } from '../../core/mission/cases.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Loaded } from '../../core/mission/load.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { Workbench, type Answer, type Ask } from '../../core/work/work.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import { momentOf, type Told } from './moments.ts';
import { openMission } from '../../main/cli/mission.ts';
import { projectRoot } from '../openData.ts';

const MEMBERS = 60;
let loaded: Loaded;
let told: Told;
let straight: Recovery;

/** A bench that hears and answers through the structured clone, as a worker does. */
function crossing(of: Told = told): <K extends Answer['kind']>(ask: Ask, kind: K) => Extract<Answer, { kind: K }> {
  const bench = new Workbench();
  const ask = (question: Ask): Answer => structuredClone(bench.answer(structuredClone(question)));
  for (const first of new MomentNews().tell(momentOf(of))) ask(first);
  return (question, kind) => {
    const answer = ask(question);
    if (answer.kind !== kind) throw new Error(answer.kind === 'fault' ? answer.why : `answered ${answer.kind}`);
    return answer as Extract<Answer, { kind: typeof kind }>;
  };
}

beforeAll(async () => {
  const opened = await openMission(join(projectRoot, 'data/salt-plain/salt-plain.mission.json'), {
    print: () => undefined,
    complain: () => undefined,
  });
  if (opened === null) throw new Error('the demo mission opens');
  loaded = opened;
  const { mission, log, world, roads } = loaded;
  const at_s = defaultMoment_s(mission, log);
  told = { mission, log, world, at_s, roads };
  const situation = situationAt(mission, log, world, at_s);
  const outlook = outlookOf(scenarioOf(mission, situation.world));
  straight = recoveryOn(
    situation,
    { planned: outlook, carrier: carrierOf(situation) },
    { members: MEMBERS, seed: 1, roads },
  );
});

describe('the recovery of a worker', () => {
  it('is the core’s own: every case, body, crew and proposed place, and crosses whole', () => {
    const { answer } = crossing()({ kind: 'recovery', members: MEMBERS }, 'recovery');
    expect(answer.cases.map(({ row }) => row)).toEqual(structuredClone(straight.table));
    expect(answer.cases.length).toBeGreaterThan(8);
    expect(answer.placement).toEqual(structuredClone(straight.placement));
    expect(answer.crews.map((one) => one.now)).toEqual(structuredClone(straight.board?.rows));
    expect(answer.bodies.map((one) => [one.name, one.kind])).toEqual([
      ['gondola', 'falls'],
      ['envelope', 'falls'],
    ]);
    for (const { row, ellipse90, track } of answer.cases) {
      expect(row.kind).toBe('lands');
      if (row.kind !== 'lands') continue;
      expect(ellipse90?.semiMajor_m).toBe(row.ellipse90.semiMajor_m);
      // The way over the ground is one flight: it ends at the landing as planned, else within the case's own cloud.
      const end = track.at(-1);
      if (row.case.kind === 'as planned') expect(end).toEqual(row.landing);
      else expect(inverse(end ?? [0, 0], row.landing).distance_m).toBeLessThan(2 * row.ellipse90.semiMajor_m);
    }
    expect(answer.keepClear.length).toBeGreaterThan(0);
  });

  it('answers for a crew somewhere else: at its own place what the board says, at the landing no sooner than the canopy is gathered', () => {
    const ask = crossing();
    const { answer } = ask({ kind: 'recovery', members: MEMBERS }, 'recovery');
    const kite = answer.crews.find((one) => one.crew.name === 'Kite');
    if (kite === undefined || answer.landing === null) throw new Error('the demo has Kite and a landing');
    const same = ask({ kind: 'crew times', crew: 'Kite', position: kite.now.position }, 'crew times').times;
    expect(same?.asPlanned).toEqual(kite.now.asPlanned);
    const near = ask({ kind: 'crew times', crew: 'Kite', position: answer.landing }, 'crew times').times;
    // Both wait at the hold until the canopy is gathered, a minute after touchdown: no place is earlier than that.
    expect(near?.asPlanned.p50_s).toBeLessThanOrEqual(kite.now.asPlanned.p50_s);
    expect(near?.asPlanned.p50_s).toBeGreaterThanOrEqual(60);
    expect(near?.refusal?.by).toBe('keep clear');
    expect(ask({ kind: 'crew times', crew: 'Nobody', position: answer.landing }, 'crew times').times).toBeNull();
  });

  it('says so where the plan names no crew, and where one is for two landings', () => {
    const recovery = { kind: 'recovery', members: MEMBERS } as const;
    const none = crossing({ ...told, mission: { ...told.mission, teams: [] } })(recovery, 'recovery').answer;
    expect(none.crews).toEqual([]);
    expect(none.placement?.answers.join(' ')).toContain('No crew is named');
    const teams = (told.mission.teams ?? []).filter((team) => team.name === 'Kite');
    const one = crossing({ ...told, mission: { ...told.mission, teams } })(recovery, 'recovery').answer;
    expect(one.placement?.answers.join(' ')).toContain('One crew for two landings: Kite');
  });
});

describe('the brief of a worker', () => {
  it('is the core’s own, with its files; changes are those since the moment that a crew acknowledged', () => {
    // An older version is acknowledged by Kite: some of what changed since must be marked for Kite and for nobody else.
    const wind = loaded.log.findIndex((event) => event.kind === 'wind-report');
    const first = loaded.log[wind];
    if (first === undefined) throw new Error('the demo has wind reports');
    const ack: LogEvent = { seq: 1e6, at: first.at, kind: 'check', item: acknowledgementItem(1, 'ABCD'), by: 'Kite' };
    const noted = { ...told, log: [...told.log, ack] };
    const ask = crossing(noted);
    const { answer } = ask({ kind: 'brief', members: MEMBERS, said: null }, 'brief');
    const { mission, world, roads } = loaded;
    const draws = { ...BRIEF_OPTIONS, caseMembers: MEMBERS };
    const made = briefOf(
      briefSource(situationAt(mission, noted.log, world, told.at_s), noted.log, roads, draws).source,
    );
    expect(answer.brief).toEqual(structuredClone(made));
    expect(answer.held.map((one) => [one.crew, one.holds.kind])).toEqual([
      ['Kite', 'behind'],
      ['Ground One', 'none'],
      ['Ground Two', 'none'],
    ]);
    const { changes } = ask({ kind: 'brief changes', members: MEMBERS, held: answer.held }, 'brief changes');
    expect(changes.map((one) => one.crew)).toEqual(['Kite']);
    const keys = new Set(itemsOf(made).keys());
    const marked = [...(changes[0]?.marks.changes.values() ?? [])];
    expect(marked.length).toBeGreaterThan(0);
    for (const change of marked) if (change.kind !== 'gone') expect(keys.has(change.key)).toBe(true);
    const page = ask({ kind: 'brief file', wanted: { kind: 'page', crew: 'Kite', fontCss: '' } }, 'brief file').file
      .text;
    expect(page).toContain('class="changed');
    const gpx = ask({ kind: 'brief file', wanted: { kind: 'places', format: 'gpx' } }, 'brief file').file.text;
    expect(gpx).toContain('http://www.topografix.com/GPX/1/1');
    expect(
      ask({ kind: 'brief file', wanted: { kind: 'table', table: 'cases' } }, 'brief file').file.text.split('\n').length,
    ).toBeGreaterThan(10);
  });

  it('is refused with a reason where its files are asked for before it', () => {
    const bench = new Workbench();
    expect(bench.answer({ kind: 'brief file', wanted: { kind: 'text' } })).toMatchObject({ kind: 'fault' });
  });
});

describe('the task of a crew now', () => {
  const tasks = ['By 06:50Z', 'EXIT', 'CANOPY OPEN', 'TOUCHDOWN'].map((label) => ({
    key: label,
    label,
    text: `do ${label}`,
  }));
  const mark = (seq: number, name: string): LogEvent => ({
    seq,
    at: `2027-04-14T07:0${seq}:00Z`,
    kind: 'mark',
    mark: name,
  });
  const at_s = Date.parse('2027-04-14T08:00:00Z') / 1000;

  it('is the first before any call, then that of the newest mark or call, and none from later than the moment', () => {
    expect(taskNow(tasks, [], at_s)?.label).toBe('By 06:50Z');
    expect(taskNow(tasks, [mark(1, 'exit'), mark(2, 'opening')], at_s)?.label).toBe('CANOPY OPEN');
    expect(
      taskNow(tasks, [mark(1, 'exit'), mark(2, 'opening')], Date.parse('2027-04-14T07:01:30Z') / 1000)?.label,
    ).toBe('EXIT');
    const call: LogEvent = {
      seq: 3,
      at: '2027-04-14T07:03:00Z',
      kind: 'call',
      text: 'Touchdown, 200 metres north',
      by: 'Ground One',
    };
    expect(taskNow(tasks, [mark(1, 'exit'), call], at_s)?.label).toBe('TOUCHDOWN');
    // What is read out with its values is not one of the calls that tasks wait for, whatever it begins with.
    const said: LogEvent = { ...call, seq: 4, at: '2027-04-14T07:04:00Z', text: 'EXIT planned at', key: 'exit' };
    expect(taskNow(tasks, [mark(1, 'exit'), call, said], at_s)?.label).toBe('TOUCHDOWN');
    expect(taskNow([], [call], at_s)).toBeNull();
  });
});
