// The sections of one PILOT part (FM 32 to 34) as levels: winds at standard pressures (44, 55), maximum wind (77, 66,
// 7H, 6H), winds at fixed heights (9, 8) and significant winds by pressure (21212). Source: WMO-No. 306 vol. I.1, FM
// 32; US FMH-3 appendix E-I.
import { M_PER_FT, PA_PER_HPA } from '../../base/units.ts';
import { shown } from '../text/shown.ts';
import { Cursor, draft, isMarker } from './tempSections.ts';
import type { Draft } from './tempSections.ts';
import type { Findings } from '../text/text.ts';
import { codedWind } from './wmo.ts';
import type { Identified } from './wmo.ts';

const SURFACES_HPA = {
  A: [1000, 925, 850, 700, 500, 400, 300, 250, 200, 150, 100],
  C: [70, 50, 30, 20, 10, 7, 5, 3, 2, 1],
} as const;

const name = (id: Identified): string => `${id.part.form}${id.part.letter}${id.part.letter} ${id.station}`;

/**
 * Metres of one step of a height group. "8" always counts 500 m. "9" counts 1000 ft where the region codes heights in
 * feet, else 300 m: WMO blocks 70 to 79 (Region IV, North and Central America) and 91 to 98 (Region V, South-West
 * Pacific) are taken as feet. The message itself does not say which, and the reference marks the 300 m as unconfirmed,
 * so every use of the rule is a notice. Ships and moving stations count as "else".
 */
export function heightStep_m(
  id: Identified,
  indicator: string,
): { readonly step_m: number; readonly notice: string | null } {
  if (indicator === '8') return { step_m: 500, notice: null };
  const feet = id.block !== null && ((id.block >= 70 && id.block <= 79) || (id.block >= 91 && id.block <= 98));
  const where = id.block === null ? 'a station without block number' : `block ${id.block}`;
  const unit = feet ? '1000 ft' : '300 m';
  return {
    step_m: feet ? 1000 * M_PER_FT : 300,
    notice: `${id.station}: height groups counted in ${unit} (${where}; the message does not say)`,
  };
}

/** A group and the line where it stands. */
interface Placed {
  readonly word: string;
  readonly line: number;
}

/** The group at the cursor, which goes on. */
function taken(cursor: Cursor): Placed {
  const group = { word: cursor.word() ?? '', line: cursor.line() };
  cursor.at++;
  return group;
}

function windInto(level: Draft, { word, line }: Placed, id: Identified, what: string, findings: Findings): void {
  const { from_deg, speed_mps, wrong } = codedWind(word, id.knots);
  if (wrong !== undefined) findings.add('wind groups', { line }, `${name(id)}, ${what}: ${wrong}`);
  level.from_deg = from_deg;
  level.speed_mps = speed_mps;
}

/**
 * Can this be a wind: a direction up to 36, or missing. All heads of groups in a PILOT begin with 4 to 9, or are
 * section marks.
 */
const windLike = (word: string | undefined): word is string =>
  word !== undefined && !isMarker(word) && (/^\/{5}$/.test(word) || /^[0-3]\d{4}$/.test(word));

/**
 * Parts A and C: 44nPP or 55nPP, then n winds at the standard surfaces from PP upward; 77PPP, 66PPP, 7HHHH, 6HHHH with
 * a maximum wind.
 */
export function pilotStandard(id: Identified, findings: Findings): Draft[] {
  const out: Draft[] = [];
  const cursor = new Cursor(id.body);
  const surfaces: readonly number[] = id.part.letter === 'A' ? SURFACES_HPA.A : SURFACES_HPA.C;
  while (cursor.at < cursor.groups.length) {
    const word = cursor.word() ?? '';
    const line = cursor.line();
    if (isMarker(word)) break;
    const block = /^(44|55)(\d)(\d\d)$/.exec(word);
    cursor.at++;
    if (block !== null) {
      const pp = Number(block[3]);
      // Two figures in tens of hPa below 100 hPa ("85", "00" is 1000, "92" is 925), in hPa above.
      const hPa = id.part.letter === 'C' ? pp : pp === 0 ? 1000 : pp === 92 ? 925 : pp * 10;
      const first = surfaces.indexOf(hPa);
      if (first < 0)
        findings.add(
          'level groups',
          { line },
          `${name(id)}: ${shown(word)}: ${hPa} hPa is not a standard surface; its winds are left out`,
        );
      let n = 0;
      for (; n < Number(block[2]) && windLike(cursor.word()); n++) {
        const surface = first < 0 ? undefined : surfaces[first + n];
        const level = draft('standard', cursor.line(), surface === undefined ? null : surface * PA_PER_HPA);
        windInto(level, taken(cursor), id, `${surface ?? '?'} hPa`, findings);
        if (surface !== undefined) out.push(level);
      }
      if (n < Number(block[2]))
        findings.add('levels cut off', { line }, `${name(id)}: ${shown(word)} promises ${block[2]} winds, ${n} follow`);
    } else if (/^[67]/.test(word)) out.push(...maximumWind({ word, line }, cursor, id, findings));
    else
      findings.add(
        'stretches not understood',
        { line },
        `${name(id)}: group ${shown(word)}; expected 44nPP, 55nPP, 77PPP, 66PPP, 7HHHH or 6HHHH`,
      );
  }
  return out;
}

/**
 * 77PPP or 66PPP by pressure; 7HHHH or 6HHHH by height in tens of metres (no balloon reaches 60 km, so the two cannot
 * be mixed up).
 */
function maximumWind({ word, line }: Placed, cursor: Cursor, id: Identified, findings: Findings): Draft[] {
  if (/^(77|66)999$/.test(word)) return [];
  const figures = /^\d{5}$/.test(word) ? word : '';
  const byPressure = /^(77|66)/.test(figures);
  const hPa = byPressure ? Number(figures.slice(2)) / (id.part.letter === 'C' ? 10 : 1) : null;
  const level = draft('maximum wind', line, hPa === null ? null : hPa * PA_PER_HPA);
  if (!byPressure && figures !== '') level.geopotential_m = Number(figures.slice(1)) * 10;
  if (windLike(cursor.word())) {
    windInto(level, taken(cursor), id, 'maximum wind', findings);
  } else findings.add('levels cut off', { line }, `${name(id)}: maximum wind ${shown(word)} without a wind group`);
  if (/^4\d{4}$/.test(cursor.word() ?? '') && !/^44\d/.test(cursor.word() ?? '')) cursor.at++;
  if (figures !== '' && (hPa === null || hPa > 0)) return [level];
  findings.add('level groups', { line }, `${name(id)}: maximum wind ${shown(word)}; expected five figures`);
  return [];
}

/**
 * Parts B and D: height groups 9tuuu or 8tuuu, each followed by up to three winds: t is the tens, each u the units of a
 * height in steps, "/" where there is no such level. Step 0 is the surface; so is a "/" in the first place of the first
 * group when a wind stands there all the same ("90/12" with three winds). After 21212 the levels go by pressure: nnPPP
 * ddfff.
 */
export function pilotHeights(id: Identified, findings: Findings): Draft[] {
  const out: Draft[] = [];
  const cursor = new Cursor(id.body);
  let noticed = false;
  while (cursor.at < cursor.groups.length) {
    const word = cursor.word() ?? '';
    const line = cursor.line();
    if (word === '21212') {
      cursor.at++;
      significantWinds(id, cursor, out, findings);
      break;
    }
    if (isMarker(word)) break;
    cursor.at++;
    if (!/^[89]\d[\d/]{3}$/.test(word)) {
      const text = `${name(id)}: group ${shown(word)}; expected a height group (9 or 8, tens, three units) or 21212`;
      findings.add('stretches not understood', { line }, text);
      continue;
    }
    const { notice } = heightStep_m(id, word.charAt(0));
    if (notice !== null && !noticed) findings.add('height notices', { line }, notice);
    noticed ||= notice !== null;
    const slots = word.slice(2).split('');
    const winds: Placed[] = [];
    while (winds.length < slots.length && windLike(cursor.word())) winds.push(taken(cursor));
    out.push(...heightGroup({ word, line }, winds, id, findings));
  }
  return out;
}

function heightGroup({ word, line }: Placed, winds: readonly Placed[], id: Identified, findings: Findings): Draft[] {
  const { step_m } = heightStep_m(id, word.charAt(0));
  const slots = word.slice(2).split('');
  const wanted = slots.filter((u) => u !== '/').length;
  const surfaceSlash = word.charAt(1) === '0' && slots[0] === '/' && winds.length === wanted + 1;
  const steps = slots.map((u, i) =>
    u === '/' ? (surfaceSlash && i === 0 ? 0 : null) : Number(word.charAt(1)) * 10 + Number(u),
  );
  const given = steps.filter((step) => step !== null);
  if (winds.length !== given.length) {
    const text = `${name(id)}: ${shown(word)} names ${given.length} levels, ${winds.length} winds follow`;
    findings.add('levels cut off', { line }, winds.length > given.length ? `${text}: none of them is used` : text);
  }
  if (winds.length > given.length) return [];
  return given.flatMap((step, i) => {
    const wind = winds[i];
    if (wind === undefined) return [];
    const level = draft(step === 0 ? 'surface' : 'fixed height', wind.line, null);
    if (step !== 0) level.geopotential_m = step * step_m;
    windInto(level, wind, id, step === 0 ? 'surface' : `height ${step} × ${step_m} m`, findings);
    return [level];
  });
}

function significantWinds(id: Identified, cursor: Cursor, out: Draft[], findings: Findings): void {
  while (cursor.at < cursor.groups.length) {
    const word = cursor.word() ?? '';
    const line = cursor.line();
    if (isMarker(word)) return;
    const found = /^(\d)\1(\d{3})$/.exec(word);
    cursor.at++;
    if (found === null || !windLike(cursor.word())) {
      findings.add(
        'stretches not understood',
        { line },
        `${name(id)}: group ${shown(word)}; expected nnPPP and a wind after 21212`,
      );
      continue;
    }
    const ppp = Number(found[2]);
    const hPa = id.part.letter === 'D' ? ppp / 10 : ppp < 100 ? 1000 + ppp : ppp;
    const level = draft(found[1] === '0' ? 'surface' : 'significant', line, hPa * PA_PER_HPA);
    windInto(level, taken(cursor), id, `level ${word}`, findings);
    if (hPa > 0) out.push(level);
  }
}
