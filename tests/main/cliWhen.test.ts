// `plumbline when` as its --help promises it, and each hour's word against `plumbline advise` on the same mission with
// its exit moved there.
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { ran } from './ran.ts';

const column = (validTime: string, speed_mps: number) => ({
  source: 'invented',
  validTime,
  runTime: '2027-06-10T00:00:00Z',
  levels: [
    { height_m: 400, from_deg: 250, speed_mps },
    { height_m: 5000, from_deg: 260, speed_mps: 2 * speed_mps },
  ],
});

const PLAN = {
  format: 'plumbline/mission',
  version: 1,
  name: 'hours',
  site: { name: 'field', position: [12, 48], elevation_m: 400 },
  exit: { position: [12, 48], altitude_m: 3400, time: '2027-06-11T10:00:00Z' },
  jumper: {
    mass_kg: 90,
    stages: [{ name: 'freefall', dragArea_m2: 0.5, until: { agl_m: 1500 } }],
    canopy: {
      referenceMass_kg: 90,
      fill_s: 3,
      settings: [{ name: 'full drive', airspeed_mps: 11, sink_mps: 4 }],
      setting: 'full drive',
      steering: { policy: 'to target' },
    },
  },
  landingZones: [
    {
      name: 'field',
      polygon: [
        [11.99, 47.99],
        [12.01, 47.99],
        [12.01, 48.01],
        [11.99, 48.01],
      ],
    },
  ],
  winds: { forecast: [column('2027-06-11T08:00:00Z', 3), column('2027-06-11T12:00:00Z', 12)] },
};

function saved(plan: object): string {
  const file = join(mkdtempSync(join(tmpdir(), 'plumbline-when-')), 'hours.mission.json');
  writeFileSync(file, JSON.stringify(plan));
  return file;
}

const word = z.enum(['GO', 'HOLD', 'NO-GO']);
const shape = z.strictObject({
  members: z.number(),
  problems: z.array(z.string()),
  hours: z.array(
    z.strictObject({
      at: z.iso.datetime(),
      word,
      because: z.array(z.string()),
      asForecast: word,
      zone: z.string().nullable(),
      inZone: z.object({ p: z.number(), error: z.number() }).nullable(),
      limits: z.array(z.string()),
      light: z.enum(['day', 'twilight', 'dark']),
      lead_h: z.number().nullable(),
      spread: z.object({ semiMajor_m: z.number(), semiMinor_m: z.number(), bearing_deg: z.number() }).nullable(),
      runs: z.object({ known: z.number(), reach: z.number(), apart_m: z.number().nullable() }),
      reached: z.boolean(),
      anywhere: z.object({ share: z.number() }).nullable(),
      exit: z.object({ time: z.iso.datetime() }),
    }),
  ),
});

it('--json has every hour of the forecasts, with the word that advise gives there', async () => {
  const { status, out } = await ran('when', saved(PLAN), '--json', '--members', '100');
  expect(status).toBe(0);
  const { hours } = shape.parse(JSON.parse(out));
  expect(hours.map(({ at }) => at.slice(11, 16))).toEqual(['08:00', '09:00', '10:00', '11:00', '12:00']);
  expect(hours.map(({ lead_h }) => lead_h)).toEqual([32, 33, 34, 35, 36]);
  expect(hours.map(({ reached }) => reached)).toEqual([true, true, true, true, false]);
  for (const hour of hours.filter(({ reached }) => reached)) {
    const moved = { ...PLAN, exit: { ...PLAN.exit, time: hour.at } };
    const advised = await ran('advise', saved(moved), '--json', '--members', '100');
    expect(hour.word).toBe(z.object({ word }).parse(JSON.parse(advised.out)).word);
  }
});

it('in words gives a line an hour under its day, and refuses a word as a time', async () => {
  const { out } = await ran('when', saved(PLAN), '--members', '100');
  expect(out).toContain('11 Jun 2027');
  expect(out.match(/^ {2}\d\d:00Z/gm)).toHaveLength(5);
  const refused = await ran('when', saved(PLAN), '--at', 'noon');
  expect([refused.status, refused.complaints.join()]).toEqual([2, expect.stringContaining('--at "noon"')]);
});
