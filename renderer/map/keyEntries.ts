// The key to the strokes: what the scene holds now, each with the stroke it is drawn with. Pictures are 36 × 16 px.
import type { Role } from '../theme/roles.ts';
import { hazardStroke } from './paintHazards.ts';
import type { MapScene } from './scene.ts';

interface KeyEntry {
  readonly words: string;
  readonly role: Role;
  /** Path of the picture. */
  readonly d: string;
  readonly width?: number;
  readonly dashed?: boolean;
}

const LINE = 'M2 8H34';
const DOUBLE = 'M2 6H34M2 10H34';

export function keyEntries(scene: MapScene): KeyEntry[] {
  return [...airEntries(scene), ...groundEntries(scene)]
    .filter(([shown]) => shown)
    .map(([, words, role, d, stroke]) => ({ words, role, d, ...stroke }));
}

type Row = readonly [shown: boolean, words: string, role: Role, d: string, stroke?: Pick<KeyEntry, 'width' | 'dashed'>];

/** The descent, its spread, its reach and its exits. */
function airEntries(scene: MapScene): Row[] {
  const { track, exitLine, reach } = scene;
  const phases = new Set(track?.parts.map((part) => part.phase));
  const guessed =
    (track?.extrapolated.length ?? 0) > 0 || [exitLine, ...reach].some((one) => one?.extrapolated === true);
  const landed = 'M2 12L18 8M18.5 7a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0-7 0';
  const corners = 'M12 6V2H16M20 2H24V6M24 10V14H20M16 14H12V10';
  const spread = scene.contours.length + scene.ellipses.length > 0;
  return [
    [scene.exit !== null, 'exit, moved by hand or key', 'accent', 'M13 8a5 5 0 1 0 10 0a5 5 0 1 0-10 0M8 8h-5M28 8h5'],
    [track !== null, 'freefall', 'path', LINE, { width: 2.5 }],
    [scene.stageMarks.length > 0, 'a stage ends', 'path', 'M2 8H14M22 8H34M14 4h8v8h-8z'],
    [phases.has('filling'), 'canopy filling', 'canopy', 'M4 8H32', { width: 6 }],
    [scene.opening !== null, 'opening', 'canopy', 'M12 8a6 6 0 0 1 12 0L18 15Z'],
    [phases.has('canopy'), 'under canopy', 'canopy', DOUBLE],
    [track !== null, 'heights along the track', 'ink', 'M2 8H34M10 4v8M18 2v12M26 4v8', { width: 1.5 }],
    [guessed, 'extrapolated wind', 'path', LINE, { width: 2.5, dashed: true }],
    [scene.landing !== null, 'landing', 'ink', 'M13 8a5 5 0 1 0 10 0a5 5 0 1 0-10 0M9 8h4M23 8h4M18 1v2M18 13v2'],
    [scene.trail.length > 0, 'earlier landing', 'ink', landed, { width: 1.25 }],
    [scene.dots !== null, 'landings drawn', 'spread', 'M8 5h1M14 10h1M19 4h1M23 11h1M28 6h1M11 12h1'],
    [spread, 'share of landings inside', 'spread', 'M4 8a14 6 0 1 0 28 0a14 6 0 1 0-28 0'],
    [scene.cases.length > 0, 'landing of a case, by its shape', 'ink', 'M4 4h8v8H4zM16 12l4-8 4 8zM28 8l4-4 4 4-4 4z'],
    [has(reach, 'reach'), 'reach, ticks inward', 'canopy', 'M2 4H34M6 4v5M14 4v5M22 4v5M30 4v5'],
    [has(reach, 'cone'), 'from inside it the zone is in reach', 'canopy', DOUBLE],
    [exitLine !== null, 'carrier’s line', 'quiet', 'M2 8H34M16 4l6 4-6 4', { width: 1.5 }],
    [
      (exitLine?.window ?? null) !== null,
      'exit window: opens, best, closes',
      'accent',
      'M2 6H34M2 10H34M4 3v10M32 3v10M18 2l5 6-5 6-5-6z',
    ],
    [scene.bestExit !== null, 'best exit anywhere', 'accent', corners],
    [scene.exit !== null, 'outside the map, and how far beyond its edge', 'ink', 'M12 3L24 8L12 13L15 8Z'],
  ];
}

const has = (list: readonly { readonly kind: string }[], kind: string): boolean =>
  list.some((one) => one.kind === kind);

/** Zones and hazards, the crews, and what else comes down. */
function groundEntries(scene: MapScene): Row[] {
  const { zones, hazards, keepClear, standby, search, bodies, crews, fixes, smoke } = scene;
  const lines = new Set(hazards.filter(({ line }) => line !== undefined).map(({ kind }) => hazardStroke(kind)));
  const crossings = hazards.some((one) => (one.crossings?.length ?? 0) > 0);
  const areas = hazards.some(({ polygon }) => polygon !== undefined);
  const thin = { width: 1.5 };
  const balloon = 'M2 8H34M14 8a4 4 0 1 0 8 0a4 4 0 1 0-8 0';
  return [
    [zones.length > 0, 'landing zone', 'zone', 'M6 3H30V13H6zM6 3l-3-2M30 3l3-2M6 13l-3 2M30 13l3 2'],
    [true, 'site', 'quiet', 'M14 8a4 4 0 1 0 8 0a4 4 0 1 0-8 0M11 8h14M18 1v14', { width: 1.25 }],
    [scene.landmarks.length > 0, 'landmark', 'quiet', 'M18 3l5 9H13Z', thin],
    [areas, 'hazard', 'hazard', 'M6 2H30V14H6zM6 10l8-8M10 14l12-12M20 14l10-10', thin],
    [lines.has('power line'), 'power line', 'hazard', 'M2 8H34M9 4v8M12 4v8M24 4v8M27 4v8', thin],
    [lines.has('ridge'), 'ridge, strokes on the lee', 'hazard', 'M2 4H34M6 4v10M12 4v6M18 4v10M24 4v6M30 4v10', thin],
    [lines.has('river'), 'river', 'wind', DOUBLE],
    [lines.has('road'), 'road', 'quiet', DOUBLE, thin],
    [lines.has('fence'), 'fence', 'quiet', 'M2 8H34M9 5l6 6M9 11l6-6M23 5l6 6M23 11l6-6', thin],
    [lines.has('cliff'), 'cliff', 'hazard', 'M2 5H34M6 5v6M12 5v6M18 5v6M24 5v6M30 5v6', thin],
    [lines.has('other'), 'hazard along a line', 'hazard', LINE, thin],
    [crossings, 'a way across', 'quiet', 'M12 4h12M12 12h12M18 4v8', thin],
    [has(crews, 'vehicle'), 'crew with a vehicle', 'crew', 'M8 4H28V12H8zM22 4v8M11 2h4M20 2h4M11 14h4M20 14h4', thin],
    [has(crews, 'boat'), 'crew with a boat', 'crew', 'M5 8H31L27 14H9zM18 8V2', thin],
    [
      has(crews, 'helicopter'),
      'crew with a helicopter',
      'crew',
      'M11 1l14 14M25 1L11 15M14 8a4 4 0 1 0 8 0a4 4 0 1 0-8 0',
      thin,
    ],
    [has(fixes, 'jumper'), 'jumper’s last fix', 'accent', 'M12 8a6 6 0 1 0 12 0a6 6 0 1 0-12 0'],
    [has(fixes, 'gondola'), 'gondola’s last fix', 'accent', 'M13 3h10v10H13z'],
    [has(fixes, 'crew'), 'crew’s last fix', 'crew', 'M18 2l7 11H11Z'],
    [smoke.length > 0, 'smoke, its plume with the wind', 'caution', 'M4 12l10-4c4-4 8 2 12-2l6-3', thin],
    [keepClear.length > 0, 'keep clear', 'caution', 'M3 3H33V13H3M6 3l5 5M14 3l5 5M22 3l5 5'],
    [standby.length > 0, 'standby, route, gate', 'crew', 'M3 4h8v8H3zM13 8H32M22 4l4 4-4 4'],
    [search.length > 0, 'search pattern', 'ink', 'M4 13V3H32V13H12V7', { width: 1.25 }],
    [has(bodies, 'gondola'), 'gondola', 'quiet', 'M2 8H34M14 5h6v6h-6z', thin],
    [has(bodies, 'envelope'), 'envelope', 'quiet', balloon, thin],
  ];
}
