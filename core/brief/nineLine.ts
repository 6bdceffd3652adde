// An evacuation request in nine lines, filled in as far as it is known before anybody is there; what is not known says
// so and names the choices. ref: recovery.md §3; source: US Army GTA 08-01-004 and other copies, mark F (some swap the
// letters A and B of line 3, so the word is said with the letter). Peacetime forms of lines 6 and 9. Lines 1 to 5
// launch, 6 to 9 follow.
import { REPORT_M } from '../recovery/landable.ts';
import { distanceToLines } from '../earth/geodesic.ts';
import { distance, lengthUp } from '../words/lengths.ts';
import type { BriefItem, BriefSection } from './model.ts';
import { shoreAt, type Facts } from './sheet.ts';
import type { CrewSource } from './source.ts';
import { capital, angle, quantity } from '../words/numbers.ts';
import { shoreWords } from '../words/places.ts';
import { placeWords } from '../words/positions.ts';

export const NINE_LINES = [
  'Location of pick-up',
  'Frequency, call sign, suffix',
  'Patients by precedence',
  'Special equipment',
  'Patients by type',
  'Number and type of injury',
  'Marking of the site',
  'Nationality and status',
  'Terrain',
] as const;

const UNKNOWN = 'unknown';

/**
 * A crew's request. A touchdown that was marked with its place, or a fix of the jumper's after it, goes before the
 * prediction.
 */
export function nineLine(facts: Facts, one: CrewSource): BriefSection {
  const texts = [
    location(facts),
    radioLine(facts, one),
    `one jumper; precedence ${UNKNOWN}: urgent (A), urgent-surgical (B), priority (C), routine (D), convenience (E)`,
    equipment(one),
    `${UNKNOWN}: litter (L), walking (A)`,
    knownBefore(facts),
    marking(facts),
    facts.source.situation.mission.jumper.patient?.nationality ?? UNKNOWN,
    terrain(facts),
  ];
  const items = NINE_LINES.map((field, k): BriefItem => ({
    key: `crew.${one.crew.name}.nine.${k + 1}`,
    label: `${k + 1} ${field}`,
    text: texts[k] ?? UNKNOWN,
  }));
  return {
    key: `crew.${one.crew.name}.nine`,
    title: 'Evacuation request: 1 to 5 launch, 6 to 9 follow',
    read: false,
    items,
  };
}

function location({ source, landing }: Facts): string {
  const { state } = source.situation;
  const mark = state.marks.get('touchdown');
  const fix = state.fixes.get('jumper')?.at(-1);
  const marked =
    mark?.position ?? (mark !== undefined && fix !== undefined && fix.time_s >= mark.time_s ? fix.position : null);
  const place = marked ?? landing;
  const how = marked === null ? ' (predicted; say the true place)' : ' (as marked)';
  return `${placeWords(place, 'MGRS')}; ${placeWords(place, 'degrees-minutes')}${how}`;
}

/** The channel for evacuation where the plan names one, else everybody's. */
function radioLine({ source }: Facts, { crew }: CrewSource): string {
  const channels = source.situation.mission.channels ?? [];
  const own = channels.find(({ use }) => /evacuation/i.test(use)) ?? channels[0];
  const telephone = crew.team.telephone === undefined ? '' : `; telephone ${crew.team.telephone}`;
  return `${own?.channel ?? `frequency ${UNKNOWN}`}; ${crew.team.callSign ?? crew.name}; suffix ${UNKNOWN}${telephone}`;
}

/** The injury is not known; what of the person is. */
function knownBefore(facts: Facts): string {
  const patient = patientWords(facts);
  return patient === null ? UNKNOWN : `injury ${UNKNOWN}; ${patient}`;
}

/** "34 years; 100 kg with all worn; blood group 0 negative"; null where the plan says nothing. */
export function patientWords({ source }: Facts): string | null {
  const { patient, mass_kg } = source.situation.mission.jumper;
  if (patient === undefined) return null;
  const { age_years, bloodGroup, allergies, medication } = patient;
  const parts = [
    age_years === undefined ? null : quantity(age_years, 'years'),
    `${quantity(mass_kg, 'kg')} with all worn`,
    bloodGroup === undefined ? null : `blood group ${bloodGroup}`,
    allergies === undefined ? null : `allergies: ${allergies}`,
    medication === undefined ? null : `medication: ${medication}`,
  ];
  return parts.filter((part) => part !== null).join('; ');
}

/** How the suit is opened, what is under pressure, what burns; null where the plan says nothing. */
export function suitWords({ source }: Facts): string | null {
  const { suit } = source.situation.mission.jumper;
  if (suit === undefined) return null;
  const parts = [
    suit.opens === undefined ? null : `open: ${suit.opens}`,
    suit.underPressure === undefined ? null : `under pressure: ${suit.underPressure}`,
    suit.burns === undefined ? null : `burns: ${suit.burns}`,
  ].filter((part) => part !== null);
  return parts.length === 0 ? null : parts.join('; ');
}

function equipment({ approach }: CrewSource): string {
  const choices = 'none (A), hoist (B), extraction (C), ventilator (D)';
  if (approach?.setDown.kind === 'hoist') return `hoist (B) likely: ${approach.setDown.why}; else ${UNKNOWN}`;
  return `${UNKNOWN}: ${choices}`;
}

function marking({ source }: Facts): string {
  const { smoke, situation } = source;
  if (situation.mission.marking !== undefined) return `${situation.mission.marking}, by the plan`;
  const choices = 'panels (A), pyrotechnic (B), smoke (C), none (D), other (E)';
  if (smoke?.kind !== 'place') return `${UNKNOWN}: ${choices}`;
  if (smoke.device === 'smoke') return 'smoke (C) as planned; say the colour';
  return (
    `${smoke.device === 'wind sock or panels' ? 'panels (A)' : 'steady light (E)'} as planned; no flame on ` +
    'this ground'
  );
}

function terrain(facts: Facts): string {
  const { source, landing, hazards } = facts;
  const shore = shoreAt(source, landing);
  if (shore !== null) return `Water: ${shoreWords(shore)}`;
  const zone = source.table.find((one) => one.case.kind === 'as planned');
  const inside = zone?.kind === 'lands' && zone.where.kind === 'inside' ? zone.where.zone : null;
  const surface = (source.situation.mission.landingZones ?? []).find((one) => one.name === inside)?.surface;
  const slope = source.advised.advice.zones.find((fit) => fit.zone.name === inside)?.ground;
  const near = hazards
    .map((hazard) => ({
      hazard,
      m: distanceToLines(landing, [hazard.shape.kind === 'area' ? hazard.shape.ring : hazard.shape.line], REPORT_M),
    }))
    .filter(({ m }) => m < REPORT_M)
    .map(
      ({ hazard, m }) =>
        `${hazard.name}${hazard.height_m === null ? '' : ` ${lengthUp(hazard.height_m)} high`} at ${distance(m)}`,
    );
  const parts = [
    surface === undefined ? `surface ${UNKNOWN}` : surface,
    slope === undefined || slope === null ? `slope ${UNKNOWN}` : `slope to ${angle(slope.slope_deg_max)}`,
    near.length === 0 ? `no obstacle known within ${distance(REPORT_M)}` : near.join(', '),
  ];
  return capital(parts.join('; '));
}
