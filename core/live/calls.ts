// What to say now, ready to be read aloud, each in one breath of at most 20 words: first what corrects an earlier call
// and who reads back, then what has not been said yet, then what was. Nothing is called that is older than its limit;
// a line says why instead. Pure: the same moment gives the same words. Advisory only: who speaks decides what is said.
import { timeOf } from '../log/fate.ts';
import { never } from '../base/problem.ts';
import { capital } from '../words/numbers.ts';
import { sayName, sayTime, spokenWords, WORDS_A_BREATH } from '../words/spoken.ts';
import { hasChanged, type CallValues } from './callChanges.ts';
import {
  downCall,
  exitCall,
  flightOf,
  hazardCall,
  keepClearCall,
  landingCall,
  landingDirectionCall,
  notCalled,
  TO_ALL,
  TO_JUMPER,
  windCall,
  type CallFlight,
  type CallMoment,
  type CallPhase,
  type NotCalled,
  type Offer,
} from './callOffers.ts';
import { callByFix, crewCalls, fallTimeCall } from './callsInFlight.ts';

export interface ReadyCall extends Pick<Offer, 'key' | 'to' | 'values' | 'age_s' | 'limit_s'> {
  /** What is read aloud. */
  readonly words: string;
  /** Who must read it back; null: it corrects nothing. */
  readonly readBack: string | null;
  /** When this was called last, s since 1970; null: not yet. */
  readonly said_s: number | null;
}

export interface CallsNow {
  readonly phase: CallPhase;
  /** The first is to be said first. */
  readonly ready: readonly ReadyCall[];
  readonly notCalled: readonly NotCalled[];
}

interface Said {
  readonly values: CallValues;
  readonly time_s: number;
}

type Found = Offer | NotCalled | null;

export function callsAt(moment: CallMoment): CallsNow {
  const flight = flightOf(moment);
  const { phase } = flight;
  const said = lastSaid(moment);
  const due = dueIn(moment, flight);
  const ready: ReadyCall[] = [];
  const withheld: NotCalled[] = [];
  for (const one of due) {
    const found = foundOf(moment, one, said);
    if (found === null) continue;
    if ('why' in found) withheld.push(found);
    else ready.push(found);
  }
  // What was said in an earlier phase and is wrong now is put right, whatever the phase.
  for (const one of earlier(moment, phase, said, new Set(due.map((one) => one?.key)))) {
    const found = foundOf(moment, one, said);
    if (found !== null && !('why' in found) && found.readBack !== null) ready.push(found);
  }
  return { phase, ready: ranked(ready), notCalled: withheld };
}

function foundOf(moment: CallMoment, one: Found, said: ReadonlyMap<string, Said>): ReadyCall | NotCalled | null {
  if (one === null) return null;
  const before = said.get(`${one.to} ${one.key}`) ?? null;
  return one.kind === 'offer' ? readyCall(one, before) : (annulled(moment, one, before) ?? one);
}

/** Corrections, then what was not said, then what was said, the longest ago first; else in the order of the phase. */
function ranked(ready: readonly ReadyCall[]): ReadyCall[] {
  const rank = ({ readBack, said_s }: ReadyCall): number => (readBack !== null ? 0 : said_s === null ? 1 : 2);
  return ready.toSorted((a, b) => rank(a) - rank(b) || (rank(a) === 2 ? (a.said_s ?? 0) - (b.said_s ?? 0) : 0));
}

/** What is said in a phase, in the order in which it is needed. */
function dueIn(moment: CallMoment, flight: CallFlight): Found[] {
  const { phase } = flight;
  switch (phase) {
    case 'before exit':
      return [exitCall(moment), windCall(moment), ...groundCalls(moment, phase)];
    case 'in fall':
      return [
        callByFix('height', moment, flight),
        callByFix('speed', moment, flight),
        fallTimeCall(moment),
        landingCall(moment),
      ];
    case 'under canopy':
      return [
        windCall(moment),
        callByFix('height', moment, flight),
        callByFix('zone', moment, flight),
        callByFix('heading', moment, flight),
        landingDirectionCall(moment),
        hazardCall(moment),
        landingCall(moment),
      ];
    case 'down':
      return [downCall(moment), ...crewCalls(moment, phase)];
    default:
      return never(phase);
  }
}

const groundCalls = (moment: CallMoment, phase: CallPhase): Found[] => [
  landingCall(moment),
  keepClearCall(moment),
  hazardCall(moment),
  ...crewCalls(moment, phase),
];

/** What is not due in this phase and was said before: nothing else is worked out for it. */
function earlier(
  moment: CallMoment,
  phase: CallPhase,
  said: ReadonlyMap<string, Said>,
  due: ReadonlySet<string | undefined>,
): Found[] {
  if (phase === 'down') return [];
  const keys = [...said.keys()];
  const wasSaid = (key: string): boolean => !due.has(key) && keys.some((one) => one.includes(` ${key}`));
  return [
    ...(wasSaid('wind') ? [windCall(moment)] : []),
    ...(wasSaid('landing direction') ? [landingDirectionCall(moment)] : []),
    ...(wasSaid('keep clear') ? [keepClearCall(moment)] : []),
    ...(wasSaid('hazard') ? [hazardCall(moment)] : []),
    ...(phase !== 'before exit' && (wasSaid('way') || wasSaid('approach')) ? crewCalls(moment, phase) : []),
  ];
}

/** The newest call of each key to each listener, as the log has it at the moment. */
function lastSaid({ situation, at_s }: CallMoment): Map<string, Said> {
  const found = new Map<string, Said>();
  for (const { key, to, values, at } of situation.state.calls) {
    const time_s = timeOf(at);
    if (key !== undefined && time_s <= at_s) found.set(`${to ?? ''} ${key}`, { values: values ?? {}, time_s });
  }
  return found;
}

function readyCall(offer: Offer, before: Said | null): ReadyCall | NotCalled {
  const { key, to, values, age_s, limit_s } = offer;
  const corrects = before !== null && hasChanged(key, before.values, values);
  const words = corrects ? correcting(offer) : inOneBreath(offer.phrases, offer.more, []);
  if (words === null) return notCalled(key, to, `more than ${WORDS_A_BREATH} words`);
  const readBack = corrects ? to : null;
  return { key, to, values, age_s, limit_s, words, readBack, said_s: before?.time_s ?? null };
}

const sayTo = (to: string): string => (to === TO_JUMPER || to === TO_ALL ? capital(to) : sayName(to));

/** Who reads back is named in the same breath; a crew's name is not said twice in it. */
function correcting({ to, phrases, more, shorter }: Offer): string | null {
  const isNamed = phrases[0] === sayName(to);
  const end = `${isNamed ? '' : `${sayTo(to)}, `}READ BACK`;
  const whole = inOneBreath(['CORRECTION', ...phrases], more, [end]);
  if (whole !== null || shorter === null) return whole;
  return inOneBreath(['CORRECTION', ...shorter.phrases], shorter.more, [end]);
}

/** Phrases with as much more as one breath holds; null where the phrases alone are too long. */
function inOneBreath(phrases: readonly string[], more: readonly string[], end: readonly string[]): string | null {
  const count = (all: readonly string[]): number => all.reduce((sum, one) => sum + spokenWords(one), 0);
  const kept: string[] = [];
  let left = WORDS_A_BREATH - count(phrases) - count(end);
  if (left < 0) return null;
  for (const one of more) {
    if (spokenWords(one) > left) continue;
    left -= spokenWords(one);
    kept.push(one);
  }
  return [[...phrases, ...kept].join(', '), ...end].map((one) => `${capital(one)}.`).join(' ');
}

/**
 * A surface wind that was called and whose report no longer counts, while no other can be called: what was said is
 * taken back, because the jumper still goes by it.
 */
function annulled({ situation }: CallMoment, { key, to }: NotCalled, before: Said | null): ReadyCall | null {
  if (before === null || (key !== 'wind' && key !== 'landing direction')) return null;
  const report = before.values['report'];
  if (typeof report !== 'string' || situation.winds.used.has(report)) return null;
  // A report that is merely too old was right when it was called.
  const { byId } = situation.state;
  const fate = byId.get(report)?.outcome.kind;
  const isWrong = fate === undefined || fate === 'withdrawn' || fate === 'struck' || isHeld(situation, report);
  if (!isWrong) return null;
  const what = key === 'wind' ? 'surface wind' : key;
  const words = `CORRECTION, disregard the ${what} called at ${sayTime(before.time_s)}. ${sayTo(to)}, READ BACK.`;
  return { key, to, values: {}, age_s: null, limit_s: null, words, readBack: to, said_s: before.time_s };
}

const isHeld = ({ winds }: CallMoment['situation'], id: string): boolean =>
  winds.held.some(({ report }) => report.id === id);
