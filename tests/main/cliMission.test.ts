// The commands on a mission, as FORMAT.md promises them: shapes, exit status, and the same bytes for the same
// question.
import { copyFileSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { ran } from './ran.ts';
import { projectRoot } from '../openData.ts';

const SALT = join(projectRoot, 'data/salt-plain/salt-plain.mission.json');

const place = z.tuple([z.number(), z.number()]);
const predictShape = z.object({
  stages: z.array(
    z.object({
      name: z.string(),
      start_s: z.number(),
      end_s: z.number(),
      startHeight_m: z.number(),
      endHeight_m: z.number(),
    }),
  ),
  peak: z.object({ speed_mps: z.number(), mach: z.number(), time_s: z.number(), height_m: z.number() }),
  opening: z.object({ time_s: z.number(), position: place, height_m: z.number(), shock_g: z.number() }),
  landing: z.object({ time_s: z.number(), position: place, elevation_m: z.number() }),
  track: z.array(z.tuple([z.number(), z.number(), z.number(), z.number()])).min(100),
  warnings: z.array(z.string()),
});
const ellipse = z.object({ semiMajor_m: z.number(), semiMinor_m: z.number(), bearing_deg: z.number() });
const shares = z.record(z.string(), z.number().min(0).max(1));
const ensembleShape = predictShape.extend({
  members: z.literal(600),
  seed: z.literal(7),
  mean: place,
  covariance_m2: z.tuple([place, place]),
  ellipses: z.object({ '50': ellipse, '90': ellipse }),
  inZone: shares,
  inHazard: shares,
  time_s: z.object({ p05: z.number(), p50: z.number(), p95: z.number() }),
});

describe('predict', () => {
  it('--json answers one value of the documented shape, stages without gaps, the track from exit to landing', async () => {
    const { status, out } = await ran('predict', SALT, '--json');
    expect(status).toBe(0);
    const answer = predictShape.parse(JSON.parse(out));
    answer.stages.forEach((stage, i) => {
      if (i > 0) expect(stage.start_s).toBe(answer.stages[i - 1]?.end_s);
      expect(stage.end_s).toBeGreaterThanOrEqual(stage.start_s);
    });
    expect(answer.track[0]?.[0]).toBe(0);
    expect(answer.track.at(-1)).toEqual([
      answer.landing.time_s,
      ...answer.landing.position,
      answer.landing.elevation_m,
    ]);
    for (let i = 1; i < answer.track.length; i++)
      expect(answer.track[i]?.[0]).toBeGreaterThan(answer.track[i - 1]?.[0] ?? Infinity);
  });

  it('without --json it is read by a person: exit, opening, touchdown, coordinates, cautions', async () => {
    const { out } = await ran('predict', SALT);
    for (const word of ['Exit', 'Opening', 'Touchdown', 'MSL', 'true (', 'magnetic', 'Advisory only'])
      expect(out).toContain(word);
  });

  it.each([
    ['no file', ['predict']],
    ['two files', ['predict', SALT, SALT]],
    ['a file that is not there', ['predict', '/nowhere/x.mission.json']],
    ['an option that is not known', ['predict', SALT, '--faster']],
    ['an invalid number', ['ensemble', SALT, '--members', 'many']],
    ['an invalid time', ['advise', SALT, '--at', 'noon']],
  ])('%s is refused with status 2, one line, and nothing on standard output', async (_what, args) => {
    const { status, out, complaints } = await ran(...args);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(complaints).toHaveLength(1);
    expect(complaints[0]).not.toContain('\n');
  });

  it('a plan with a latitude of 95 is refused by file and key', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'plumbline-cli-'));
    const path = join(folder, 'bad.mission.json');
    copyFileSync(SALT, path);
    const plan: unknown = JSON.parse(await import('node:fs').then((fs) => fs.readFileSync(path, 'utf8')));
    Object.assign((plan as { exit: object }).exit, { position: [22, 95] });
    writeFileSync(path, JSON.stringify(plan));
    const { status, complaints } = await ran('predict', path, '--json');
    expect(status).toBe(2);
    expect(complaints.some((line) => line.includes(path) && line.includes('exit.position[1]: found 95'))).toBe(true);
  });
});

describe('ensemble and advise', () => {
  it('ensemble --json adds what is documented, and the same seed gives the same bytes with any number of workers', async () => {
    const one = await ran('ensemble', SALT, '--members', '600', '--seed', '7', '--json');
    expect(one.status).toBe(0);
    const answer = ensembleShape.parse(JSON.parse(one.out));
    expect(answer.ellipses['90'].semiMajor_m).toBeGreaterThan(answer.ellipses['50'].semiMajor_m);
    const again = await ran('ensemble', SALT, '--members', '600', '--seed', '7', '--json');
    expect(again.out).toBe(one.out);
    const other = await ran('ensemble', SALT, '--members', '600', '--seed', '8', '--json');
    expect(other.out).not.toBe(one.out);
  });

  it('advise replays any moment byte for byte, and a moment before the reports knows none of them', async () => {
    const now = await ran('advise', SALT, '--members', '100', '--json');
    expect(now.status).toBe(0);
    expect((await ran('advise', SALT, '--members', '100', '--json')).out).toBe(now.out);
    const before = await ran('advise', SALT, '--members', '100', '--at', '2027-04-14T03:55:00Z', '--json');
    const limits = z.object({
      limits: z.array(z.object({ limit: z.object({ name: z.string() }), state: z.string() })),
    });
    const age = (text: string) =>
      limits.parse(JSON.parse(text)).limits.find((one) => one.limit.name === 'surfaceWindAge_s')?.state;
    expect(age(before.out)).toBe('not given');
    expect(age(now.out)).not.toBe('not given');
  });

  it('advise as text says the word, the window, every limit with its source, and the cautions', async () => {
    const { out } = await ran('advise', SALT, '--members', '300');
    expect(out).toMatch(
      /^GO · \d+\u202f% in Saltbell North · EXIT \d\d:\d\d:\d\d to \d\d:\d\d:\d\dZ · best \d\d:\d\d:\d\dZ$/m,
    );
    for (const word of ['surface wind', 'chance of the zone', 'daylight', 'oxygen', 'Advisory only'])
      expect(out).toContain(word);
  });

  it('advise answers cases, gondola, crews and search: as text in sections, as JSON under one key', async () => {
    const { out } = await ran('advise', SALT, '--members', '100');
    const sections = [
      'Cases',
      'Gondola and envelope',
      'Crews as they are',
      'Standby advised',
      'Approach of Kite',
      'Smoke',
      'If contact is lost',
    ];
    const places = sections.map((section) => out.indexOf(`\n${section}`));
    expect(places.every((place) => place > 0)).toBe(true);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
    const lonLat = z.tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)]);
    const shape = z.object({
      recovery: z.object({
        cases: z.array(
          z.object({ kind: z.string(), case: z.object({ name: z.string(), weight: z.number().min(0).max(1) }) }),
        ),
        placement: z.object({ crews: z.array(z.object({ crew: z.string(), position: lonLat, reason: z.string() })) }),
        others: z.array(z.object({ name: z.string(), landing: z.object({ position: lonLat }) })),
        search: z.object({ datum: lonLat }),
      }),
    });
    const { recovery } = shape.parse(JSON.parse((await ran('advise', SALT, '--members', '100', '--json')).out));
    // Eleven kinds come by themselves, but for the early exit from a balloon that is above it.
    expect(recovery.cases.map((row) => row.case.name)).toHaveLength(10);
    expect(recovery.placement.crews.map((place) => place.crew)).toEqual(['Kite', 'Ground One', 'Ground Two']);
    expect(recovery.others.map((body) => body.name)).toEqual(['gondola', 'envelope']);
    for (const { crew, reason } of recovery.placement.crews) expect(out, crew).toContain(reason);
  });
});
