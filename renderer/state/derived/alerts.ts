// What the alerts' rules look at, gathered from what the window knows already, and the alerts that stand with what was
// silenced. When an alert began is a record of this sitting (`acting/alertActions.ts`); of a past moment it is what the
// rules say of it alone.
import { computed, type ReadonlySignal, type Signal } from '@preact/signals';
import { landingSeen, type AlertView, type FeedSeen } from '../../../core/live/alertRules.ts';
import { Alerts, silenceOf, type Alert, type Silence } from '../../../core/live/alerts.ts';
import { CALL_LIMIT_S } from '../../../core/live/callOffers.ts';
import type { LiveFix } from '../../../core/live/filter.ts';
import { JumperPlan, type FollowedBody, type JumperSeen } from '../../../core/live/followed.ts';
import { leftAt_s } from '../../../core/descent/carrier.ts';
import type { FixState, MarkState, MissionState } from '../../../core/log/fold.ts';
import type { Units } from '../../../core/words/numbers.ts';
import type { FeedState } from '../../../main/contract.ts';
import type { AlertsView } from '../stored/alerts.ts';
import type { Decision, MomentAsked } from '../stored/decision.ts';
import type { RecoveryView } from '../stored/recovery.ts';
import type { ReportsView } from '../stored/reportsView.ts';
import { holdsStill } from './asked.ts';
import type { Derived, Given } from './graph.ts';
import { steady } from './parts.ts';

export interface AlertShown {
  readonly alert: Alert;
  /** Null: nobody has silenced it. */
  readonly silence: Silence | null;
}

export interface AlertsShown {
  /** What the rules look at; null without a mission. */
  readonly alertView: ReadonlySignal<AlertView | null>;
  /** At the moment that is looked at, the gravest first, silenced ones with them. */
  readonly alerts: ReadonlySignal<readonly AlertShown[]>;
}

interface AlertsGiven extends Pick<Given, 'now_ms' | 'moment_ms'>, Derived {
  readonly path: ReadonlySignal<string | null>;
  readonly momentAsked: ReadonlySignal<MomentAsked | null>;
  readonly decision: Decision;
  readonly recovery: RecoveryView;
  readonly reports: ReportsView;
  readonly alerting: AlertsView;
  readonly ownClock_ms: Signal<number>;
  readonly units: ReadonlySignal<Units>;
}

export function alertsFrom(given: AlertsGiven): AlertsShown {
  const { situation, past, alerting } = given;
  const jumper = jumperFrom(given);
  const alertView = computed(() => viewOf(given, jumper));
  const alerts = steady((): readonly AlertShown[] => {
    const view = alertView.value;
    const silences = situation.value?.state.silences ?? [];
    if (view === null) return [];
    const standing = past.value ? new Alerts().at(view).standing : alerting.standing.value;
    return standing.map((alert) => ({ alert, silence: silenceOf(alert, silences, view.at_s) }));
  });
  return { alertView, alerts };
}

function viewOf(given: AlertsGiven, jumper: ReadonlySignal<JumperSeen | null>): AlertView | null {
  const { situation, expected, now_ms, moment_ms, shown_s, units } = given;
  const now = situation.value;
  const from = expected.value?.from;
  if (now === null || from === undefined) return null;
  const { mission, winds, state } = now;
  const at_s = moment_ms.value === null ? Math.max(now_ms.value / 1000, now.at_s) : shown_s.value;
  const isDown = from === 'touchdown' || state.marks.has('touchdown');
  const advice = adviceOf(given);
  return {
    at_s,
    stage: isDown ? 'down' : from === 'plan' ? 'before the exit' : 'in the air',
    jumper: isDown || from === 'plan' ? null : jumper.value,
    landing: advice === null ? null : landingSeen(mission, advice.statistics),
    winds,
    reports: state.counting,
    limits: advice?.limits ?? null,
    crews: crewsOf(given, at_s),
    feeds: feedsOf(given),
    units: units.value,
  };
}

/**
 * Whether an answer is good enough to look at. Of now: also the last one, while a newer one is worked out, because the
 * chance that was a second ago is not unknown. Of the past: that moment's own.
 */
function isOf(asked: MomentAsked, now: MomentAsked | null): boolean {
  if (now === null || asked.mission !== now.mission || asked.path !== now.path) return false;
  return asked.past || now.past ? holdsStill(asked, now) : true;
}

/** Of a jumper in the air: before the exit the word says what its limits and chances are. */
function adviceOf({ decision, momentAsked }: AlertsGiven) {
  const found = decision.found.value;
  if (found === null || !isOf(found.asked, momentAsked.value)) return null;
  const { advice } = found.answer;
  return advice.word === 'IN FLIGHT' ? advice : null;
}

function crewsOf({ recovery, momentAsked }: AlertsGiven, at_s: number): AlertView['crews'] {
  const [answer, of] = [recovery.answer.value, recovery.answered.value];
  if (answer === null || of === null || !isOf(of, momentAsked.value)) return null;
  return at_s - answer.at_s <= CALL_LIMIT_S.crews ? answer.crews.map(({ now }) => now) : null;
}

const LINKS: Readonly<Record<FeedState['link'], FeedSeen['link']>> = {
  watching: 'up',
  connected: 'up',
  connecting: 'trying',
  waiting: 'broken',
  ended: 'broken',
};

/** The links that bring fixes; what they were in the past nobody keeps. */
function feedsOf({ reports, path, past, ownClock_ms }: AlertsGiven): AlertView['feeds'] {
  if (past.value) return null;
  // The desk's times are the computer's; the mission may run on a clock of its own.
  const ahead_s = ownClock_ms.value / 1000;
  return reports.feeds.value.flatMap(({ missionPath, body, link, heard }): FeedSeen[] =>
    body === null || missionPath !== path.value
      ? []
      : [{ body, link: LINKS[link], heard_s: heard === null ? null : Date.parse(heard) / 1000 + ahead_s }],
  );
}

/** The carrier's way, so far before the leaving that a fall is seen to begin, s. */
const BEFORE_S = 60;

/** The jumper followed from fix to fix since it left; an opening that a person marked wins. */
function jumperFrom({ parts, situation, expected, world }: AlertsGiven): ReadonlySignal<JumperSeen | null> {
  const prediction = steady(() => expected.value?.planned.prediction ?? null);
  const plan = computed(() => {
    const [of, where, planned] = [parts.value, world.value, prediction.value];
    return of === null || where === null || planned === null ? null : new JumperPlan(planned, of.jumper.canopy, where);
  });
  const flown = steady(() => {
    const state = situation.value?.state;
    return state === undefined ? null : { fixes: state.fixes, exit: state.marks.get('exit'), opening: opened(state) };
  });
  const following = new Following();
  return computed(() => {
    const [by, of, now] = [plan.value, parts.value, flown.value];
    if (by === null || of === null || now === null) return null;
    const { fixes, exit, opening } = now;
    const marks = new Map(exit === undefined ? [] : [['exit', exit] as const]);
    const left_s = leftAt_s({ carrier: of.carrier, exit: of.exit }, { fixes, marks });
    const body = following.at({ plan: by, exit, opening, from_s: left_s - BEFORE_S }, fixes.get('jumper') ?? []);
    return by.seen(body, (fixes.get('gondola') ?? []).filter(hasHeight));
  });
}

const opened = ({ marks }: MissionState): MarkState | undefined => marks.get('opening');

const hasHeight = (fix: FixState): fix is FixState & LiveFix => fix.height_m !== null;

interface Followed {
  readonly plan: JumperPlan;
  readonly exit: MarkState | undefined;
  readonly opening: MarkState | undefined;
  /** Fixes from here on count. */
  readonly from_s: number;
}

/** Where fixes are added at the end, only what is new is taken: a fix costs some tenths of a millisecond. */
class Following {
  #kept: { readonly of: Followed; readonly fixes: readonly FixState[]; readonly body: FollowedBody } | null = null;

  at(of: Followed, fixes: readonly FixState[]): FollowedBody {
    const kept = this.#kept;
    const goesOn = kept !== null && isSame(kept.of, of) && begins(fixes, kept.fixes);
    const body = goesOn ? kept.body : of.plan.follow();
    for (let i = goesOn ? kept.fixes.length : 0; i < fixes.length; i++) {
      const fix = fixes[i];
      if (fix !== undefined && fix.time_s >= of.from_s && hasHeight(fix)) take(body, of, fix);
    }
    if (of.opening !== undefined) openBy(body, of.opening);
    this.#kept = { of, fixes, body };
    return body;
  }
}

function take(body: FollowedBody, { exit, opening }: Followed, fix: LiveFix): void {
  // The fixes tell the exit to a second or two, a person's key to several: the mark counts where no fix saw it.
  const unseen = exit !== undefined && body.filter.taken.length === 0 && fix.time_s > exit.time_s;
  if (unseen) body.tracker.set('freefall', exit.time_s);
  if (opening !== undefined && fix.time_s >= opening.time_s) openBy(body, opening);
  body.add(fix);
}

/** A person saw it open. */
function openBy({ tracker }: FollowedBody, { time_s }: MarkState): void {
  const phase = tracker.now?.phase;
  if (phase !== 'opening' && phase !== 'canopy' && phase !== 'down') tracker.set('canopy', time_s);
}

// By their numbers: a moment that is folded again has the same events in other objects.
const isSame = (a: Followed, b: Followed): boolean =>
  a.plan === b.plan && a.from_s === b.from_s && a.exit?.seq === b.exit?.seq && a.opening?.seq === b.opening?.seq;

const begins = (fixes: readonly FixState[], first: readonly FixState[]): boolean =>
  first.length <= fixes.length && first.every(({ seq }, i) => seq === fixes[i]?.seq);
