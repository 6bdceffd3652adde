// Orders that can be obeyed: missions of every kind, their sheets read as the crews would, every printed way checked by
// a geometry of its own.
import { describe, expect, it } from 'vitest';
import { briefText } from '../../core/brief/text.ts';
import { PHONE_SCRIPT } from '../../main/cli/phoneScript.ts';
import { phonePage } from '../../core/brief/phone.ts';
import { xmlText } from '../../core/formats/out/xmlText.ts';
import { broken } from './corridor.ts';
import { procedureTimes } from './procedure.ts';
import { makeOrders, MISSIONS, toEastNorth, toPlace, type OrdersMade } from './missions.ts';

const made = new Map<string, OrdersMade>();
function ordersFor(name: string): OrdersMade {
  const mission = MISSIONS.find((one) => one.name === name);
  if (mission === undefined) throw new Error(`no mission ${name}`);
  const found = made.get(name) ?? makeOrders(mission);
  made.set(name, found);
  return found;
}
const crewOf = ({ orders }: OrdersMade, name: string) => {
  const crew = orders.crews.find((one) => one.name === name);
  if (crew === undefined) throw new Error(`no crew ${name}`);
  return crew;
};
const radioOf = ({ brief }: OrdersMade): string => brief.radio.map(({ text }) => text).join(' ');

describe.each(MISSIONS.map((mission) => mission.name))('%s', (name) => {
  it('prints no way, standby or hold that breaks a rule', () => {
    expect(broken(ordersFor(name))).toEqual([]);
  });
  it('promises of each place the time of the procedure that is briefed from there', () => {
    const found = ordersFor(name);
    // The ground on the way is looked at every 250 m and wires not at all: 50 m up and down again at 4 m/s.
    const climb_s = found.mission.flat ? 0 : 25;
    for (const { crew, promised_s, briefed_s } of procedureTimes(found)) {
      expect(promised_s, crew).toBeLessThanOrEqual(1.02 * briefed_s + 2);
      expect(promised_s + climb_s, crew).toBeGreaterThanOrEqual(0.98 * briefed_s - 2);
    }
  });
  it('says of each crew what it is told, on the sheet, its page and the radio alike', () => {
    const found = ordersFor(name);
    const text = briefText(found.brief);
    for (const crew of found.orders.crews) {
      const page = found.brief.crews.find((one) => one.crew === crew.name);
      const words = JSON.stringify(page?.sections);
      if (crew.state === 'refused') {
        expect(words).toContain('you do not go');
        expect(words).toContain(crew.why);
        expect(text).toContain('refused');
        expect(radioOf(found)).toContain('you do not go');
        for (const row of found.source.table)
          if (row.kind === 'lands') expect(row.firstCrew?.crew.name).not.toBe(crew.name);
      }
      if (crew.state === 'proposed') {
        expect(words).toContain('proposed, not ordered');
        expect(radioOf(found)).toContain('stay where you are');
      }
    }
  });
});

describe('what was seen', () => {
  it('a final does not cross a line of 45 m low, and says why the better one is not flown', () => {
    const found = ordersFor('ridge with wires');
    const kite = found.source.crews.find((one) => one.crew.name === 'Kite');
    expect(kite?.status).not.toBe('refused');
    expect(kite?.approach?.way.at(-1)?.name).toBe('set down');
  });
  it('nobody waits on the far bank of a river without a bridge, and who cannot cross is refused with the river’s name', () => {
    const found = ordersFor('river without a bridge');
    const banks = found.orders.crews.map((crew) => ({ ...crew, refusedBy: crew.why ?? '' }));
    const refused = banks.filter((crew) => crew.state === 'refused');
    expect(refused).toHaveLength(1);
    expect(refused[0]?.refusedBy).toContain('River');
    const landing = toEastNorth(found.mission.ground, found.orders.landing?.position ?? [0, 0]);
    expect(refused[0]?.name).toBe(landing[0] > -700 ? 'West bank' : 'East bank');
  });
  it('a crew that may not fly at night does not, one that may does', () => {
    const found = ordersFor('night');
    expect(crewOf(found, 'Day only').state).toBe('refused');
    expect(crewOf(found, 'Day only').why).toContain('twilight');
    expect(crewOf(found, 'Night').state).not.toBe('refused');
  });
  it('a helicopter 160 km away and short of fuel is refused for its fuel and has no approach', () => {
    const far = crewOf(ordersFor('crew out of range'), 'Far');
    expect([far.state, far.ways.length]).toEqual(['refused', 0]);
    expect(far.why).toContain('fuel');
  });
  it('no helicopter flies in more wind than its limit', () => {
    const kite = crewOf(ordersFor('fast wind'), 'Kite');
    expect(kite.state).toBe('refused');
    expect(kite.why).toContain('over its limit');
  });
  it('a lone helicopter sets down 1000 ft from the canopy, and one of its crew gathers it: no step waits for itself', () => {
    const found = ordersFor('lone helicopter');
    const setDown = crewOf(found, 'Kite').ways.at(-1)?.points.at(-1);
    const at = toEastNorth(found.mission.ground, setDown?.position ?? [0, 0]);
    const landing = toEastNorth(found.mission.ground, found.orders.landing?.position ?? [0, 0]);
    expect(Math.hypot(at[0] - landing[0], at[1] - landing[1])).toBeGreaterThan(300);
    const tasks = JSON.stringify(found.brief.crews[0]?.sections);
    expect(tasks).toContain('walks in, gathers and holds the canopy');
  });
  it('a landing in the water says how far the shore is and where it lies, on sheet, page and radio', () => {
    const found = ordersFor('sea with a boat');
    const plain = (words: string): string => words.replaceAll(/[\u00a0\u2009\u202f]/g, ' ');
    const text = plain(briefText(found.brief));
    // The site lies 350 m east of the shore, which runs along the north.
    expect(text).toMatch(/Water +In Grey Sea, the shore 350 m toward 270° \(west\)/);
    expect(text).not.toMatch(/Grey Sea +sea +– +\d+ m toward/);
    expect(text).toContain('all about the landing; its edge 350 m toward 270° (west)');
    expect(radioOf(found)).toContain('It is in the water: Grey Sea.');
    expect(radioOf(found)).toContain('distance three five zero metres');
    for (const page of found.brief.crews)
      expect(plain(JSON.stringify(page.sections))).toContain('the shore 350 m toward 270°');
  });
  it('into the water go a boat and a helicopter with a hoist; all others wait at the shore', () => {
    const found = ordersFor('sea with a boat');
    const ends = Object.fromEntries(found.source.crews.map(({ crew, ends: end }) => [crew.name, end]));
    expect(ends).toEqual({ Tern: 'goal', Winch: 'goal', Kite: 'shore', Ground: 'shore' });
    const last = (name: string) => crewOf(found, name).ways.at(-1)?.points.at(-1);
    const east = (name: string) => toEastNorth(found.mission.ground, last(name)?.position ?? [0, 0])[0];
    expect(last('Winch')?.agl_m).toBeGreaterThan(30);
    for (const name of ['Kite', 'Ground']) {
      expect(east(name), name).toBeLessThan(-350);
      expect(JSON.stringify(found.brief.crews.find((one) => one.crew === name)?.sections)).toContain(
        'nobody goes into the water',
      );
      expect(radioOf(found)).toContain(`${name}, go to the shore and wait there: nobody goes into the water.`);
    }
    for (const row of found.source.table)
      if (row.kind === 'lands') expect(['Tern', 'Winch']).toContain(row.firstCrew?.crew.name);
  });
  it('with a current a boat is sent to where the person has drifted, and the datum of a search moves', () => {
    const found = ordersFor('sea with a current');
    const { mission, orders, source } = found;
    // 0.8 m/s toward the east, and 1.2 % of a wind of 4 m/s from 250° on somebody in a life jacket.
    const leeway = 0.012 * 4;
    const velocity = [0.8 + leeway * Math.sin((70 * Math.PI) / 180), leeway * Math.cos((70 * Math.PI) / 180)] as const;
    const down_s = source.scene?.outlook.prediction.landing?.time_s ?? NaN;
    const landing = toEastNorth(mission.ground, orders.landing?.position ?? [0, 0]);
    for (const name of ['Tern', 'Winch']) {
      const end = crewOf(found, name).ways.at(-1)?.points.at(-1);
      const at = toEastNorth(mission.ground, end?.position ?? [0, 0]);
      const afloat_s = (end?.tPlus_s ?? NaN) - down_s;
      const off = Math.hypot(at[0] - landing[0] - velocity[0] * afloat_s, at[1] - landing[1] - velocity[1] * afloat_s);
      expect(off, name).toBeLessThan(12);
      expect(JSON.stringify(found.brief.crews.find((one) => one.crew === name)?.sections)).toContain('has drifted');
    }
    const { datum, searcher } = source.search;
    const moved = toEastNorth(mission.ground, datum);
    const still = toEastNorth(mission.ground, ordersFor('sea with a boat').source.search.datum);
    expect(moved[0] - still[0]).toBeGreaterThan(0.9 * velocity[0] * (searcher?.arrives_s ?? NaN));
    expect(moved[0] - still[0]).toBeLessThan(1.1 * velocity[0] * (searcher?.arrives_s ?? NaN));
    expect(source.search.sentences.join(' ')).toContain('The datum is moved by that');
  });
  it('what the plan says of channels, person, suit, hospital, marking and who decides stands where it is read', () => {
    const found = ordersFor('sea with a current');
    const tern = found.brief.crews.find((one) => one.crew === 'Tern');
    const winch = JSON.stringify(found.brief.crews.find((one) => one.crew === 'Winch')?.sections);
    const page = JSON.stringify(tern?.sections);
    expect(page).toContain('122.8 MHz AM (all crews); you are Rescue Two');
    expect(page).toContain('open: zip behind, from the left; under pressure: bottle on the right hip; burns: oxygen');
    expect(page).toContain('blood group O negative; allergies: none known');
    // Twelve kilometres west of the landing.
    expect(page).toMatch(/Cliff House; .*; 12\.0\u202fkm on 270° true.*; grass, lit; 555 0100/);
    const form = tern?.nineLine?.items.map(({ text }) => text) ?? [];
    expect(form[1]).toBe('VHF 16; Rescue Two; suffix unknown; telephone 555 0101');
    expect(form[5]).toContain('injury unknown; 34');
    expect(form[6]).toBe('orange panel on the pier, by the plan');
    expect(form[7]).toBe('invented');
    // Nobody but a medical crew needs to know of the person; the suit is opened by whoever is there.
    expect(winch).not.toContain('blood group');
    expect(winch).toContain('zip behind');
    const sheet = briefText(found.brief);
    expect(sheet).toContain('coastguard, on the water');
    expect(sheet).toContain('all crews: 122.8 MHz AM; evacuation: VHF 16');
  });
  it('without a current it says that drift is not counted', () => {
    const found = ordersFor('sea with a boat');
    expect(briefText(found.brief)).toContain('Drift is not counted: the plan gives no current');
    expect(found.source.search.sentences.join(' ')).toContain('Drift is not counted');
  });
  it('after a touchdown in the water the boat goes to where the person is by then', () => {
    const found = ordersFor('afloat after touchdown');
    const [tern] = found.source.crews;
    expect(tern?.meets?.after_s).toBeGreaterThan(600);
    const end = toEastNorth(found.mission.ground, crewOf(found, 'Tern').ways.at(-1)?.points.at(-1)?.position ?? [0, 0]);
    // 0.5 m/s toward the north alone moves it so far, from 60 m south of the site.
    expect(end[1]).toBeGreaterThan(-60 + 0.5 * 600);
  });
  it('a boat goes round a headland, and along a river that is narrower than its lattice', () => {
    const headland = crewOf(ordersFor('sea behind a headland'), 'Tern');
    expect(headland.ways.at(-1)?.points.length).toBeGreaterThan(3);
    const river = crewOf(ordersFor('broad river with a boat'), 'Tern');
    expect([river.state, river.ways.at(-1)?.what]).toEqual(['ordered', 'water']);
  });
  it('says so where nobody can fetch somebody out of the water', () => {
    const found = ordersFor('sea with nobody who goes in');
    expect(briefText(found.brief)).toContain('lie in water, and no crew has a boat or a hoist');
    for (const row of found.source.table) if (row.kind === 'lands' && row.case.kind === 'as planned') expect(row.firstCrew).toBeNull(); // prettier-ignore
  });
  it('a boat waits on the water while the landing lies on land, and one far from any water does not go', () => {
    const found = ordersFor('boat for a landing on land');
    const tern = found.source.crews.find(({ crew }) => crew.name === 'Tern');
    expect([tern?.ends, tern?.route.kind]).toEqual(['nothing', 'no way']);
    expect(JSON.stringify(found.brief.crews[0]?.sections)).toContain('No farther than your standby: the landing lies on land'); // prettier-ignore
    expect(crewOf(found, 'Dry').why).toContain('on land, and the crew is a boat');
    expect(briefText(found.brief)).toContain('Ground sets it');
  });
  it('counts from T everywhere on a page before the exit, and has the clock beside it after', () => {
    const before = briefText(ordersFor('no roads').brief);
    expect(before).toMatch(/leave at T\+\d+:\d\d for the hold/);
    const after = briefText(ordersFor('in flight').brief);
    expect(after).toMatch(/leave at T\+\d+:\d\d \(\d\d:\d\d:\d\dZ\) for the hold/);
  });
  it.each(MISSIONS.map((mission) => mission.name))(
    'in %s, nobody searches who is refused for dark, wind or fuel',
    (name) => {
      const { source } = ordersFor(name);
      const searcher = source.crews.find((one) => one.crew.name === source.search.searcher?.crew.name);
      expect(searcher?.why ?? '').not.toMatch(/twilight|over its limit|fuel/);
    },
  );
  it('leaves the standbys as they are after the exit, and names none after the touchdown', () => {
    for (const crew of ordersFor('in flight').orders.crews) expect(crew.state).not.toBe('proposed');
    const down = ordersFor('after touchdown');
    for (const crew of down.orders.crews) expect([crew.name, crew.standby]).toEqual([crew.name, null]);
    expect(radioOf(down)).not.toContain('your standby');
  });
  it('has another identity where anything in it differs, and the same where only the moment does', () => {
    const mission = MISSIONS.find((one) => one.name === 'date line');
    if (mission === undefined) throw new Error('a mission');
    const one = ordersFor('date line').orders;
    const minuteLater = makeOrders({ ...mission, before_s: mission.before_s - 60 }).orders;
    const otherWind = makeOrders({ ...mission, wind: { ...mission.wind, speed_mps: 6 } }).orders;
    expect(minuteLater.identity).toBe(one.identity);
    expect(otherWind.identity).not.toBe(one.identity);
    expect(otherWind.crews[0]?.identity).not.toBe(one.crews[0]?.identity);
  });
});

describe('the check itself', () => {
  it('finds a line that is crossed low, ground that is kept clear and a drive through a river', () => {
    const found = ordersFor('many crews and a town');
    const point = (name: string, at: readonly [number, number], height_m: number, tPlus_s: number) => ({
      name,
      position: toPlace(found.mission.ground, at),
      agl_m: height_m - 300,
      height_m,
      tPlus_s,
    });
    const [crew] = found.orders.crews;
    if (crew === undefined) throw new Error('a crew');
    const points = [point('standby', [-2000, 0], 450, 0), point('hold', [1000, 0], 450, 60), point('set-down', [100, 0], 300, 200)]; // prettier-ignore
    const orders = { ...found.orders, crews: [{ ...crew, ways: [{ what: 'approach' as const, points }] }] };
    const words = broken({ ...found, orders }).join('; ');
    expect(words).toContain('over Line');
    expect(words).toContain('kept clear before the hold');
  });
  it('finds a boat that goes over land and over an island', () => {
    const found = ordersFor('sea with a boat');
    const crew = crewOf(found, 'Tern');
    const over = (places: readonly (readonly [number, number])[]): string => {
      const points = places.map((at, k) => ({ name: 'by water', position: toPlace(found.mission.ground, at), agl_m: 0, height_m: 0, tPlus_s: 100 * k })); // prettier-ignore
      return broken({ ...found, orders: { ...found.orders, crews: [{ ...crew, ways: [{ what: 'water' as const, points }] }] } }).join('; '); // prettier-ignore
    };
    expect(over([[100, 5900], [100, 0]])).toContain('leaves the water'); // prettier-ignore
    expect(over([[1000, 2200], [4000, 2200]])).toContain('goes over Gull Rock'); // prettier-ignore
    expect(over([[1000, 0], [4000, 0]])).toBe(''); // prettier-ignore
  });
  it('has approaches to check in most missions', () => {
    const flown = MISSIONS.filter(({ name }) =>
      ordersFor(name).orders.crews.some((crew) => crew.ways.some((way) => way.what === 'approach')),
    );
    expect(flown.length).toBeGreaterThanOrEqual(9);
  });
});

describe('a crew’s page on a phone', () => {
  it('is one file that fetches nothing, with its identity, its orders and a map', () => {
    const found = ordersFor('ridge with wires');
    const crew = found.brief.crews[0];
    if (crew === undefined) throw new Error('a crew');
    const page = phonePage(found.brief, crew, { exit_s: 1_800_000_000, script: PHONE_SCRIPT, marks: null });
    expect(page).toContain(`<p class="identity">${crew.identity}</p>`);
    expect(page).toContain("default-src 'none'");
    expect(page).toContain('width=device-width');
    expect(page).not.toMatch(/(?:src|href)="(?!data:|#)|@import|url\((?!#)/);
    expect(page.match(/<svg/g)?.length).toBeGreaterThan(1);
    for (const section of crew.sections) for (const item of section.items) expect(page).toContain(xmlText(item.text));
  });
});
