// The two demo missions: whole by the schema, with no key that the schema does not know, with every file they name in
// its place.
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { logEvent } from '../core/log/events.ts';
import { mission } from '../core/plan/schema.ts';
import type { Mission } from '../core/plan/schema.ts';
import type { TerrainGrid } from '../core/earth/terrain.ts';
import { carrierAt, carrierPath } from '../core/descent/carrier.ts';
import { predict } from '../core/descent/predict.ts';
import { scenarioOf } from '../core/descent/scenario.ts';
import { inverse, isInside } from '../core/earth/geodesic.ts';
import { defaultMoment_s, situationAt } from '../core/mission/situation.ts';
import { loadMission } from '../core/mission/load.ts';
import { readTerrain } from '../core/formats/terrain/terrain.ts';

const DATA = new URL('../data/', import.meta.url);
const NAMES = ['salt-plain', 'town-meadow'] as const;
const at = (name: string, file: string): URL => new URL(`${name}/${file}`, DATA);
const text = (name: string, file: string): string => readFileSync(at(name, file), 'utf8');

function load(name: string): Mission {
  return mission.parse(JSON.parse(text(name, `${name}.mission.json`)));
}

function log(name: string): z.infer<typeof logEvent>[] {
  const lines = text(name, `${name}.log.jsonl`)
    .split('\n')
    .filter((line) => line !== '');
  return lines.map((line) => logEvent.parse(JSON.parse(line)));
}

async function loaded(name: string): Promise<{
  value: NonNullable<Awaited<ReturnType<typeof loadMission>>['value']>;
  problems: readonly { text: string }[];
}> {
  const plan = load(name);
  const files = [plan.site.terrain, plan.roads, ...(plan.winds?.files ?? [])].filter((file) => file !== undefined);
  const { value, problems } = await loadMission({
    planText: text(name, `${name}.mission.json`),
    logText: text(name, `${name}.log.jsonl`),
    attachments: files.map((file) => ({ name: file, bytes: new Uint8Array(readFileSync(at(name, file))) })),
  });
  if (value === null) throw new Error('not loaded');
  return { value, problems };
}

async function terrain(name: string): Promise<TerrainGrid> {
  const { value, problems } = await readTerrain('terrain.tif', new Uint8Array(readFileSync(at(name, 'terrain.tif'))));
  expect(problems).toEqual([]);
  if (value === null) throw new Error('no terrain');
  return value;
}

/** The schema's own list of keys against the keys of a value, at every depth: what is left over. */
function unknownKeys(value: unknown, schema: z.core.$ZodType, path: string): string[] {
  const { def } = (schema as unknown as Record<string, { def: { type: string } & Record<string, unknown> }>)[
    '_zod'
  ] ?? {
    def: { type: '' },
  };
  const inner = (key: string): z.core.$ZodType => def[key] as z.core.$ZodType;
  if (['optional', 'readonly', 'nullable', 'default'].includes(def.type))
    return unknownKeys(value, inner('innerType'), path);
  if (def.type === 'union') {
    const options = def['options'] as z.core.$ZodType[];
    const found = options.filter((o) => z.safeParse(o, value).success).map((o) => unknownKeys(value, o, path));
    return found.sort((a, b) => a.length - b.length)[0] ?? [`${path}: fits no member`];
  }
  if (def.type === 'array')
    return (value as unknown[]).flatMap((v, i) => unknownKeys(v, inner('element'), `${path}[${i}]`));
  if (def.type !== 'object') return [];
  const shape = def['shape'] as Record<string, z.core.$ZodType>;
  return Object.entries(value as object).flatMap(([key, v]) => {
    const known = shape[key];
    return known === undefined ? [`${path}.${key}`] : unknownKeys(v, known, `${path}.${key}`);
  });
}

describe.each(NAMES)('demo mission %s', (name) => {
  it('is whole by the schema, and every key is one that the schema knows', () => {
    const plan: unknown = JSON.parse(text(name, `${name}.mission.json`));
    expect(z.safeParse(mission, plan).error?.issues ?? []).toEqual([]);
    expect(unknownKeys(plan, mission, 'mission')).toEqual([]);
    expect(unknownKeys({ ...(plan as object), colour: 1 }, mission, 'mission')).toEqual(['mission.colour']);
  });

  it('names files that lie beside it, and no file lies there that nothing names', () => {
    const plan = load(name);
    const named = [plan.site.terrain, plan.roads, ...(plan.winds?.files ?? [])].filter((file) => file !== undefined);
    expect(named.length).toBeGreaterThanOrEqual(4);
    expect(named.filter((file) => !existsSync(at(name, file)))).toEqual([]);
    const present = readdirSync(at(name, ''), { recursive: true, encoding: 'utf8' }).filter((file) =>
      /\.\w+$/.test(file),
    );
    expect(present.sort()).toEqual([...named, `${name}.mission.json`, `${name}.log.jsonl`].sort());
  });

  it('has a log without gaps, in order of time, all before the exit and none before what it reports', () => {
    const events = log(name);
    const exit = load(name).exit.time;
    expect(events.length).toBeGreaterThanOrEqual(5);
    events.forEach((event, i) => {
      const before = events[i - 1];
      if (before !== undefined) {
        expect(event.seq).toBe(before.seq + 1);
        expect(event.at > before.at).toBe(true);
      }
      expect(event.at < exit).toBe(true);
      if ('observedAt' in event && typeof event.observedAt === 'string')
        expect(event.observedAt <= event.at).toBe(true);
    });
    expect(events.filter((event) => event.kind === 'wind-report').length).toBeGreaterThanOrEqual(3);
  });

  it('stands on its terrain: the site at its height, every zone and crew inside, the ground below the exit', async () => {
    const plan = load(name);
    const ground = await terrain(name);
    expect(Math.abs(ground.heightAt(...plan.site.position) - plan.site.elevation_m)).toBeLessThan(1);
    const places = [
      plan.exit.position,
      ...(plan.landingZones ?? []).flatMap((zone) => zone.polygon),
      ...(plan.hazards ?? []).flatMap(
        (hazard) => ('polygon' in hazard ? hazard.polygon : hazard.line) as [number, number][],
      ),
      ...(plan.teams ?? []).map((team) => team.position),
    ];
    expect(places.length).toBeGreaterThan(30);
    for (const [lon, lat] of places) expect(ground.heightAt(lon, lat), `${lon}, ${lat}`).toBeGreaterThan(300);
  });

  it('loads whole: every wind file decodes, the winds stand on both sides of the exit in time, and nothing is refused', async () => {
    const { value, problems } = await loaded(name);
    // The one notice is true of every such bulletin: its upper heights are pressure altitudes.
    expect(
      problems.filter((problem) => !problem.text.startsWith('heights from 18000 ft are pressure altitudes')),
    ).toEqual([]);
    const times = [
      ...value.windSources.flatMap((source) => source.decoded.map((winds) => winds.validTime)),
      ...(value.mission.winds?.forecast ?? []).map((forecast) => forecast.validTime),
    ].map((time) => Date.parse(time ?? ''));
    const exit_ms = Date.parse(value.mission.exit.time);
    expect(times.length).toBeGreaterThanOrEqual(3);
    expect(times.some((time) => time < exit_ms) && times.some((time) => time > exit_ms)).toBe(true);
  });

  it('works out as planned: reports count, the carrier passes the exit on time, the landing lies in the first zone', async () => {
    const { value } = await loaded(name);
    const { mission: plan, log: events, world } = value;
    const situation = situationAt(plan, [...events], world, defaultMoment_s(plan, events));
    expect(situation.winds.used.size).toBe(events.filter((event) => event.kind === 'wind-report').length);
    const path = carrierPath(plan, situation.world);
    const carrier = path === null ? null : carrierAt(path, Date.parse(plan.exit.time) / 1000);
    expect(inverse(carrier?.position ?? [0, 0], plan.exit.position).distance_m).toBeLessThan(150);
    expect(carrier?.height_m).toBeCloseTo(plan.exit.altitude_m, 0);
    const { landing } = predict(scenarioOf(plan, situation.world));
    expect(isInside(landing?.position ?? [0, 0], plan.landingZones?.[0]?.polygon ?? [])).toBe(true);
  });

  it('has two landing zones or more, and says in its notes that it is made up', () => {
    const plan = load(name);
    expect(plan.landingZones?.length).toBeGreaterThanOrEqual(2);
    expect(plan.notes).toMatch(/^An invented \w+: every name, place and wind is made up\./);
  });
});
