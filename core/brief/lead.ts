// The lead's page: the count-down with its words, what is done when contact is lost, and what must be true before the
// last crew goes home. The order is common practice; the times come from the plan. Advisory only.
import { inverse } from '../earth/geodesic.ts';
import type { FallingOther } from '../recovery/gondola.ts';
import { capital } from '../words/numbers.ts';
import { clockMinute, roughDuration } from '../words/times.ts';
import { STANDBY_BEFORE_S } from '../recovery/standby.ts';
import type { BriefItem, BriefSection } from './model.ts';
import { bothForms, isDown, line, row, wayWords, type Facts } from './sheet.ts';
import type { BriefSource } from './source.ts';

/** Before the exit, s: common practice. */
const READ_OUT_S = 3600;
const RADIO_CHECK_S = 1800;
const ASKED_S = 300;
const LAST_CALL_S = 60;

const goingIn = ({ crews }: BriefSource) => crews.filter(({ status }) => status !== 'refused');

/** Who says what, and when, up to the exit; nothing of it once the exit is in the log. */
export function countdownSection({ source, times }: Facts): BriefSection {
  const before = (seconds: number): string => `T−${roughDuration(seconds)}, ${clockMinute(times.exit_s - seconds)}`;
  const { word, exits } = source.advised.advice;
  const asked = ['pilot', 'jumper', 'medic', ...goingIn(source).map(({ crew }) => crew.name)].join(', ');
  const rows: readonly (readonly [key: string, label: string, who: string, says: string])[] = [
    [
      'read-out',
      before(READ_OUT_S),
      'lead',
      'reads out winds, limits and the word; each crew says which version it holds',
    ],
    ['radio', before(RADIO_CHECK_S), 'all', 'radio check by name; the landing and the smoke are read back'],
    ['in-place', before(STANDBY_BEFORE_S), 'crews', '"IN PLACE", with the place; who is late says when'],
    ['asked', before(ASKED_S), 'lead', `asks by name, and each answers GO or HOLD: ${asked}`],
    ['last', before(LAST_CALL_S), 'lead', '"ONE MINUTE": from now on only HOLD and ABORT are said'],
    ['exit', 'T', 'pilot', '"EXIT"; the lead repeats it: T is zero'],
  ];
  const late =
    exits.window === null
      ? `no window is open: ${word} stands`
      : `after ${clockMinute(exits.window.closes_s)} the window is closed: the lead calls HOLD`;
  const items = [
    ...rows.map(([key, label, ...cells]) => row(`countdown.${key}`, label, cells)),
    row('countdown.late', 'Late', ['lead', late]),
  ];
  const columns = ['When', 'Who', 'What'];
  return { key: 'countdown', title: 'Count-down', read: false, columns, items: times.left ? [] : items };
}

/** The words that stop it; none of them holds another one. */
export function stopSection({ times }: Facts): BriefSection {
  const rows: readonly (readonly [word: string, who: string, means: string])[] = [
    ['HOLD', 'anyone', 'all stop where they are and listen; the count stands still until the lead says CONTINUE'],
    ['CONTINUE', 'lead', 'the count goes on, with the new time of T; each crew reads it back'],
    ['ABORT', 'pilot, jumper or lead', 'nobody exits: the jumper comes down with the carrier; crews wait for where'],
  ];
  const items = times.left ? [] : rows.map(([word, ...cells]) => row(`stop.${word}`, word, cells));
  return { key: 'stop', title: 'Words that stop it', read: false, columns: ['Word', 'From', 'Means'], items };
}

/** What is done when nobody sees or hears the jumper; it ends with the touchdown. */
export function lostSection({ source }: Facts): BriefSection {
  const { search } = source;
  const { datum, sentences: said } = search;
  const items = [
    line('lost.datum', 'Datum', bothForms(datum), true),
    ...said.map((text, k) => line(`lost.${k + 1}`, k === 0 ? 'Known' : '', text)),
    line('lost.ends', 'Ends', 'with TOUCHDOWN and its place; until then every crew that does not search listens'),
  ];
  return { key: 'lost', title: 'If contact is lost', read: false, items: isDown(source) ? [] : items };
}

/** What must be true before the last crew goes home. */
export function homeSection({ source }: Facts): BriefSection {
  const crews = goingIn(source).map(({ crew }) => crew.name);
  const fliers = goingIn(source).filter(({ crew }) => crew.kind === 'helicopter');
  const items: BriefItem[] = [
    line(
      'home.count',
      'Head count',
      `the lead calls ${['the jumper', ...crews].join(', ')} by name; each answers with its place`,
      true,
    ),
    ...source.others.flatMap((one): BriefItem[] => (one.kind === 'falls' ? [othersLine(source, one)] : [])),
    line('home.gear', 'Gear', 'canopy, drogue, suit and bottles are with a named crew; smoke is out and cold'),
    line(
      'home.search',
      'Search',
      'is closed by the lead, by name, once the jumper is with a crew; who was out is called back',
    ),
  ];
  if (fliers.length > 0) {
    const names = fliers.map(({ crew }) => crew.name).join(', ');
    items.push(
      line('home.fuel', 'Fuel', `${names}: fuel is said before leaving the landing, and again before going home`),
    );
  }
  items.push(line('home.closed', 'Closed', 'by the lead on the channel, with the time, once every crew has answered'));
  return { key: 'home', title: 'Before the last crew goes home', read: false, items };
}

/** Who fetches what else comes down: the gondola's crew, and the envelope after it. */
function othersLine(source: BriefSource, { name, outlook }: FallingOther): BriefItem {
  const landing = outlook.prediction.landing?.position ?? null;
  const crew = goingIn(source).find((one) => one.goal.name === 'gondola');
  const label = capital(name);
  const keep = 'people stay away until it lies still and is held down';
  if (crew === undefined || landing === null)
    return line(`home.${name}`, label, `no crew is there for it: the lead names one; ${keep}`, true);
  if (name === 'gondola') return line('home.gondola', label, `${crew.crew.name} stays with it; ${keep}`);
  const from = crew.goal.position;
  const far = inverse(from, landing).distance_m < 30 ? '' : `, ${wayWords(source, from, { name, position: landing })}`;
  return line('home.envelope', label, `${crew.crew.name}, after the gondola${far}; ${keep}`);
}
