// APRS: the strings of the protocol reference, and a balloon's packets against what they say.
// Sources: reference/wind-reports.md §7 (mark F); APRS Protocol Reference 1.0.1;
// open-data/tracks/balloon-lamont-20190101.aprs, with truth.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readAprs } from '../../core/formats/tracks/aprs.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import type { Fix } from '../../core/formats/tracks/track.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const LATER = Date.UTC(2024, 5, 10, 12) / 1000;
const NOTHING: Fix = { time_s: NaN, position: [NaN, NaN], height_m: NaN, valid: false };
const fix = (payload: string, reference_s?: number): Fix =>
  readAprs(`N0CALL>APRS,TCPIP*:${payload}`, { reference_s }).value[0]?.fixes[0] ?? NOTHING;
const iso = (f: Fix): string | null => (f.time_s === null ? null : new Date(f.time_s * 1000).toISOString());

describe('APRS, the strings of the reference (§7) and of the protocol', () => {
  it('reads places with and without time, course, weather and altitude', () => {
    const plain = fix('=4903.50N/07201.75W-Op');
    expect(plain.position[1]).toBeCloseTo(49.058333, 6);
    expect(plain.position[0]).toBeCloseTo(-72.029167, 6);
    expect(plain).toMatchObject({ time_s: null, height_m: null, valid: true });
    expect(iso(fix('@092345z4903.50N/07201.75W>088/036', LATER))).toBe('2024-06-09T23:45:00.000Z');
    const full = fix('@085502h4903.50N/07201.75W-PHG5132Hello world/A=001234', LATER);
    expect(iso(full)).toBe('2024-06-10T08:55:02.000Z');
    expect(full.height_m).toBeCloseTo(376.1, 1);
    expect(fix('/092345/4903.50N/07201.75W>', LATER).time_s).toBeNull();
    expect(fix('!4903.50S/07201.75E>/A=-00100').position).toEqual([
      expect.closeTo(72.029167, 6),
      expect.closeTo(-49.058333, 6),
    ]);
    expect(fix('!4903.50S/07201.75E>/A=-00100').height_m).toBeCloseTo(-30.48, 6);
  });

  it('reads the compressed form, with an altitude where its type byte says so (protocol chapter 9)', () => {
    // The protocol's example: 49°30'00"N 72°45'00"W is "/5L!!<*e7", and the altitude of "S]" is 1.002^4610, 10004.5 ft.
    const place = fix('=/5L!!<*e7>7P[');
    expect(place.position[1]).toBeCloseTo(49.5, 4);
    expect(place.position[0]).toBeCloseTo(-72.75, 4);
    expect(place.height_m).toBeNull();
    expect((fix('=/5L!!<*e7>S]Q').height_m ?? NaN) / 0.3048).toBeCloseTo(10_004.52, 1);
  });

  it('takes the middle of a blurred place, and does not trust it', () => {
    const blurred = fix('!4903.  N/07201.  W-');
    expect(blurred.position[1]).toBeCloseTo(49 + 3.5 / 60, 9);
    expect(blurred.position[0]).toBeCloseTo(-(72 + 1.5 / 60), 9);
    expect(blurred.valid).toBe(false);
  });

  it('adds the further figures of the DAO extension', () => {
    const exact = fix('!4903.50N/07201.75W-hello!W63!');
    expect(exact.position[1]).toBeCloseTo(49 + 3.506 / 60, 9);
    expect(exact.position[0]).toBeCloseTo(-(72 + 1.753 / 60), 9);
  });

  it('says what it leaves out', () => {
    for (const [row, says] of [
      ['N0CALL>APRS:!9903.50N/07201.75W-', 'position "9903.50N'],
      ['N0CALL>APRS:!4963.50N/07201.75W-', 'position "4963.50N'],
      ['N0CALL>APRS:@992345z4903.50N/07201.75W-', 'time "992345z"'],
      ['N0CALL>APRS:`(_fn"Oj/', 'Mic-E'],
      ['N0CALL>APRS:>status', '1 lines are not position reports'],
      ['', 'no APRS position'],
    ] as const) {
      const { value, problems } = readAprs(row, {});
      expect(value).toEqual([]);
      expect(problems.map((p) => p.text).join('; ')).toContain(says);
    }
  });

  it('keeps stations apart, and counts midnight backward from the reference', () => {
    const text = [
      'A>X:@235900h4903.50N/07201.75W-',
      'B>X:@000100h4903.50N/07201.75W-',
      'A>X:@000200h4903.60N/07201.75W-',
    ].join('\n');
    const { value } = readAprs(text, { reference_s: Date.UTC(2024, 0, 1, 0, 10) / 1000 });
    expect(value.map((t) => [t.name, t.fixes.map(iso)])).toEqual([
      ['A', ['2023-12-31T23:59:00.000Z', '2024-01-01T00:02:00.000Z']],
      ['B', ['2024-01-01T00:01:00.000Z']],
    ]);
  });
});

describeOpenData('APRS, the balloon of Lamont', ({ openData }) => {
  const file = readFileSync(join(openData, 'tracks', 'balloon-lamont-20190101.aprs'));
  const truth = readFileSync(join(openData, 'tracks', 'balloon-lamont-20190101.aprs-truth.csv'), 'latin1')
    .split('\n')
    .slice(1)
    .filter((r) => r !== '');

  it('gives every packet as the truth says: place within 0.0001 degree, height within half a foot, time to the second', () => {
    const { value, problems } = readTrack('balloon-lamont-20190101.aprs', new Uint8Array(file), {
      reference_s: Date.UTC(2019, 0, 1, 7) / 1000,
    });
    const track = value[0] ?? { name: '', fixes: [] };
    expect(value).toHaveLength(1);
    expect(track.fixes).toHaveLength(truth.length);
    let timedPackets = 0;
    truth.forEach((row, i) => {
      const [inPacket, , lat, lon, height] = row.split(',');
      const f = track.fixes[i] ?? NOTHING;
      expect(Math.abs(f.position[1] - Number(lat))).toBeLessThan(0.0001);
      expect(Math.abs(f.position[0] - Number(lon))).toBeLessThan(0.0001);
      // Half a foot, and half of the truth's last digit.
      expect(Math.abs((f.height_m ?? NaN) - Number(height))).toBeLessThan(0.1524 + 0.051);
      expect(f.time_s).toBe(inPacket === '' ? null : Date.parse(inPacket ?? '') / 1000);
      if (inPacket !== '') timedPackets++;
    });
    expect([truth.length, timedPackets]).toEqual([70, 47]);
    console.log(
      `balloon-lamont-20190101.aprs | APRS | ${track.fixes.length} fixes, ${timedPackets} with time`,
      `| top ${track.fixes.at(-1)?.height_m?.toFixed(0)} m | ${problems.length} problems`,
    );
  });

  it('has no times at all without a reference', () => {
    expect(readTrack('x.aprs', new Uint8Array(file), {}).value[0]?.fixes.every((f) => f.time_s === null)).toBe(true);
  });

  itSurvives('APRS', [file.toString('latin1'), 'A>X:!4903.  N/07201.  W-!W63!\nA>X:=/5L!!<*e7>S]Q\n'], (input) =>
    readAprs(input, { reference_s: 1_546_326_000 }),
  );
});
