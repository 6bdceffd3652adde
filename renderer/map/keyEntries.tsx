// The key to the strokes: what the scene holds now, each with the stroke it is drawn with. Pictures are 36 × 16 px.
import type { JSX } from 'preact';
import { hazardStroke } from './paintHazards.ts';
import type { MapScene } from './scene.ts';

interface KeyEntry {
  readonly words: string;
  readonly picture: JSX.Element;
}

export function keyEntries(scene: MapScene): KeyEntry[] {
  const entries: (KeyEntry | null)[] = [
    when(scene.track !== null, 'freefall', <path class="key-path" d="M2 8H34" />),
    when(phases(scene).has('filling'), 'canopy filling', <path class="key-canopy heavy" d="M4 8H32" />),
    when(phases(scene).has('canopy'), 'under canopy', double('key-canopy')),
    when(extrapolated(scene), 'extrapolated wind', <path class="key-path dashed" d="M2 8H34" />),
    when(
      scene.trail.length > 0,
      'earlier landing',
      <>
        <path class="key-ink thin" d="M2 12L18 8" />
        <circle class="key-ink thin" cx="22" cy="7" r="3.5" />
      </>,
    ),
    when(
      scene.contours.length + scene.ellipses.length > 0,
      'share of landings inside',
      <ellipse class="key-spread" cx="18" cy="8" rx="14" ry="6" />,
    ),
    when(
      scene.reach.some((reach) => reach.kind === 'reach'),
      'reach, ticks inward',
      <path class="key-canopy" d="M2 4H34M6 4v5M14 4v5M22 4v5M30 4v5" />,
    ),
    when(
      scene.reach.some((reach) => reach.kind === 'cone'),
      'drift cone slice',
      double('key-canopy'),
    ),
    when(scene.exitLine !== null, 'carrier’s line', <path class="key-quiet" d="M2 8H34M16 4l6 4-6 4" />),
    when(scene.exitLine?.window !== null && scene.exitLine !== null, 'exit window', double('key-accent')),
    when(
      scene.bestExit !== null,
      'best exit anywhere',
      <path class="key-accent" d="M12 6V2H16M20 2H24V6M24 10V14H20M16 14H12V10" />,
    ),
    when(
      scene.zones.length > 0,
      'landing zone',
      <path class="key-zone" d="M6 3H30V13H6zM6 3l-3-2M30 3l3-2M6 13l-3 2M30 13l3 2" />,
    ),
    ...hazardEntries(scene),
    when(
      scene.keepClear.length > 0,
      'keep clear',
      <path class="key-caution" d="M3 3H33V13H3M6 3l5 5M14 3l5 5M22 3l5 5" />,
    ),
    when(
      scene.standby.length > 0,
      'standby, route, gate',
      <path class="key-crew" d="M3 4h8v8H3zM13 8H32M22 4l4 4-4 4" />,
    ),
    when(scene.search.length > 0, 'search pattern', <path class="key-ink thin" d="M4 13V3H32V13H12V7" />),
    when(
      scene.bodies.some((body) => body.kind === 'gondola'),
      'gondola',
      <path class="key-quiet" d="M2 8H34M14 5h6v6h-6z" />,
    ),
    when(
      scene.bodies.some((body) => body.kind === 'envelope'),
      'envelope',
      <>
        <path class="key-quiet" d="M2 8H34" />
        <circle class="key-quiet" cx="18" cy="8" r="4" />
      </>,
    ),
  ];
  return entries.filter((entry): entry is KeyEntry => entry !== null);
}

const when = (shown: boolean, words: string, picture: JSX.Element): KeyEntry | null =>
  shown ? { words, picture } : null;

const double = (name: string): JSX.Element => <path class={name} d="M2 6H34M2 10H34" />;

function phases(scene: MapScene): Set<string> {
  return new Set(scene.track?.parts.map((part) => part.phase) ?? []);
}

function extrapolated(scene: MapScene): boolean {
  return (
    (scene.track?.extrapolated.length ?? 0) > 0 ||
    scene.exitLine?.extrapolated === true ||
    scene.reach.some((reach) => reach.extrapolated === true)
  );
}

function hazardEntries(scene: MapScene): (KeyEntry | null)[] {
  const lines = new Set(
    scene.hazards.filter((hazard) => hazard.line !== undefined).map((hazard) => hazardStroke(hazard.kind)),
  );
  const areas = scene.hazards.some((hazard) => hazard.polygon !== undefined);
  return [
    when(areas, 'hazard', <path class="key-hazard" d="M6 2H30V14H6zM6 10l8-8M10 14l12-12M20 14l10-10" />),
    when(lines.has('power line'), 'power line', <path class="key-hazard" d="M2 8H34M9 4v8M12 4v8M24 4v8M27 4v8" />),
    when(
      lines.has('ridge'),
      'ridge, strokes on the lee',
      <path class="key-hazard" d="M2 4H34M6 4v10M12 4v6M18 4v10M24 4v6M30 4v10" />,
    ),
    when(lines.has('river'), 'river', double('key-wind')),
    when(lines.has('road'), 'road', double('key-quiet')),
    when(lines.has('fence'), 'fence', <path class="key-quiet" d="M2 8H34M9 5l6 6M9 11l6-6M23 5l6 6M23 11l6-6" />),
    when(lines.has('cliff'), 'cliff', <path class="key-hazard" d="M2 5H34M6 5v6M12 5v6M18 5v6M24 5v6M30 5v6" />),
  ];
}
