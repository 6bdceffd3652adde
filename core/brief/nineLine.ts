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
import { capital, angle } from '../words/numbers.ts';
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
    `frequency ${UNKNOWN}; ${one.crew.name}; suffix ${UNKNOWN}`,
    `one jumper; precedence ${UNKNOWN}: urgent (A), urgent-surgical (B), priority (C), routine (D), convenience (E)`,
    equipment(one),
    `${UNKNOWN}: litter (L), walking (A)`,
    UNKNOWN,
    marking(facts),
    UNKNOWN,
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

function equipment({ approach }: CrewSource): string {
  const choices = 'none (A), hoist (B), extraction (C), ventilator (D)';
  if (approach?.setDown.kind === 'hoist') return `hoist (B) likely: ${approach.setDown.why}; else ${UNKNOWN}`;
  return `${UNKNOWN}: ${choices}`;
}

function marking({ source }: Facts): string {
  const { smoke } = source;
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
