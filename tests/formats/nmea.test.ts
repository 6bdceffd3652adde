// NMEA: the reference's sentences, receiver logs, and the drop against the dropsonde's own samples.
// Sources: reference/wind-reports.md §5 (checksums re-computed there); open-data/tracks, open-data/dropsondes
// (MANIFEST.md).
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseNmeaSentence } from 'nmea-simple';
import { describe, expect, it } from 'vitest';
import { nmeaChecksum, readNmea } from '../../core/formats/tracks/nmea.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import type { Fix, Track } from '../../core/formats/tracks/track.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const sentence = (body: string): string => `$${body}*${nmeaChecksum(body).toString(16).toUpperCase().padStart(2, '0')}`;
const NOTHING: Fix = { time_s: NaN, position: [NaN, NaN], height_m: NaN, valid: false };
const fixes = (text: string, reference_s?: number): readonly Fix[] =>
  readNmea(text, { reference_s }).value[0]?.fixes ?? [];
const iso = (fix: Fix | undefined): string => new Date((fix?.time_s ?? NaN) * 1000).toISOString();

describe('NMEA, the sentences of the reference (§5)', () => {
  it('gives time, place and height as printed; the checksums match', () => {
    const rows = [
      [
        '$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A',
        '1994-03-23T12:35:19.000Z',
        48.1173,
        11.516667,
      ],
      [
        '$GPRMC,063909,A,3349.4302,N,11700.3721,W,43.022,89.3,291099,13.6,E*52',
        '1999-10-29T06:39:09.000Z',
        33.823837,
        -117.006202,
      ],
      [
        '$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62',
        '1998-09-13T08:18:36.000Z',
        -37.860833,
        145.122667,
      ],
      [
        '$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68',
        '1994-11-19T22:54:46.000Z',
        49.274167,
        -123.185333,
      ],
    ] as const;
    for (const [row, time, lat, lon] of rows) {
      const [fix] = fixes(row);
      expect(iso(fix)).toBe(time);
      expect(fix?.position[1]).toBeCloseTo(lat, 6);
      expect(fix?.position[0]).toBeCloseTo(lon, 6);
      expect(fix?.height_m).toBeNull();
    }
    const gga = '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47';
    const [pair] = fixes(`${gga}\r\n${rows[0][0]}\r\n`);
    expect(pair).toMatchObject({ height_m: 545.4, valid: true });
    expect(iso(pair)).toBe('1994-03-23T12:35:19.000Z');
    const alone = readNmea(gga, {});
    expect(alone.value[0]?.fixes[0]).toMatchObject({ time_s: null, height_m: 545.4 });
    expect(alone.problems.map((p) => p.text).join()).toContain('no sentence has a date');
    expect(iso(fixes(gga, Date.UTC(2024, 5, 1, 23) / 1000)[0])).toBe('2024-06-01T12:35:19.000Z');
  });

  it('is an own reader because the library at hand invents dates and heights', () => {
    const undated = parseNmeaSentence('$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47');
    expect(undated.sentenceId === 'GGA' && undated.time.getUTCFullYear() >= 2024).toBe(true);
    expect(() => parseNmeaSentence('$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,')).toThrow();
    const empty = parseNmeaSentence(sentence('GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,,M,,M,,'));
    expect(empty.sentenceId === 'GGA' && empty.altitudeMeters).toBe(0);
    expect(fixes(sentence('GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,,M,,M,,'))[0]?.height_m).toBeNull();
  });
});

describe('NMEA, what must be refused or doubted', () => {
  const rmc = (time: string, status: string, date: string): string =>
    sentence(`GNRMC,${time},${status},4807.038,N,01131.000,E,1.0,2.0,${date},,`);

  it('refuses wrong checksums, V and quality 0, minutes over 60, and says each', () => {
    for (const [row, says] of [
      ['$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*48', 'the characters give 47'],
      [rmc('123519', 'V', '230394'), 'RMC says that there is no fix'],
      [sentence('GPGGA,123519,4807.038,N,01131.000,E,0,00,,545.4,M,46.9,M,,'), 'GGA says that there is no fix'],
      [sentence('GPGGA,123519,4860.000,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,'), 'expected ddmm.mm'],
      [sentence('GPRMC,,V,,,,,,,,,,N'), 'without a time'],
    ] as const) {
      const { value, problems } = readNmea(row, {});
      expect(value).toEqual([]);
      expect(problems.map((p) => p.text).join('; ')).toContain(says);
    }
    expect(readNmea('$GPXTE,A,A,0.67,L,N*6F', {}).value).toEqual([]);
  });

  it('refuses a moment that one sentence calls no fix, though another gives a place', () => {
    const gga = sentence('GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,');
    expect(fixes(`${gga}\n${rmc('123519', 'V', '230394')}`)).toEqual([]);
  });

  it('reads sentences in noise, with mixed talkers, and leaves out one without checksum among others that have one', () => {
    const last = sentence('GPRMC,123521,A,4807.039,N,01131.000,E,1.0,2.0,230394,,');
    const text = `\u0000\u0007xx$PQGSV,1*00 ${rmc('123519', 'A', '230394')}garbage\n$GPRMC,123520,A,4807.038,N,01131.0\n@@${last}`;
    const { value, problems } = readNmea(text, {});
    expect(value[0]?.fixes.map((f) => iso(f).slice(11, 19))).toEqual(['12:35:19', '12:35:21']);
    expect(problems.map((p) => p.text).join()).toContain('cut off');
    const bare = readNmea('$GPRMC,123519,A,4807.038,N,01131.000,E,1.0,2.0,230394,,', {});
    expect(bare.value[0]?.fixes).toHaveLength(1);
    expect(bare.problems.map((p) => p.text).join()).toContain('none of the 1 sentences has a checksum');
  });

  it('counts midnight, forward from the first date and backward to what came before it', () => {
    const gga = (time: string): string => sentence(`GPGGA,${time},4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,`);
    const text = [
      gga('235950'),
      gga('235955'),
      rmc('000000', 'A', '010125'),
      gga('000005'),
      gga('120000'),
      gga('235959'),
      gga('000001'),
    ].join('\n');
    expect(fixes(text).map(iso)).toEqual([
      '2024-12-31T23:59:50.000Z',
      '2024-12-31T23:59:55.000Z',
      '2025-01-01T00:00:00.000Z',
      '2025-01-01T00:00:05.000Z',
      '2025-01-01T12:00:00.000Z',
      '2025-01-01T23:59:59.000Z',
      '2025-01-02T00:00:01.000Z',
    ]);
  });

  it('keeps but does not trust dead reckoning, 0° 0°, single jumps and frozen places', () => {
    const at = (second: number, lat: string, height = 500, quality = 1): string =>
      sentence(
        `GPGGA,1200${String(second).padStart(2, '0')},${lat},N,01131.000,E,${quality},08,0.9,${height},M,46.9,M,,`,
      );
    const steady = (from: number, to: number): string[] =>
      Array.from({ length: to - from }, (_, i) => at(from + i, `4807.0${30 + from + i}`));
    const jump = readNmea([...steady(0, 5), at(5, '4907.000'), ...steady(6, 12)].join('\n'), { reference_s: 1e9 });
    expect(jump.value[0]?.fixes.map((f) => f.valid)).toEqual([
      ...Array<boolean>(5).fill(true),
      false,
      ...Array<boolean>(6).fill(true),
    ]);
    expect(jump.problems.map((p) => p.text).join()).toContain('out of reach of its neighbours');
    const spike = readNmea([...steady(0, 5), at(5, '4807.340'), ...steady(6, 12)].join('\n'), { reference_s: 1e9 });
    expect(spike.value[0]?.fixes.filter((f) => !f.valid)).toHaveLength(1);
    const guessed = readNmea(at(0, '4807.030', 500, 6), { reference_s: 1e9 });
    expect(guessed.value[0]?.fixes[0]?.valid).toBe(false);
    const island = readNmea(sentence('GPGGA,120000,0000.000,N,00000.000,E,1,08,0.9,0,M,0,M,,'), { reference_s: 1e9 });
    expect(island.value[0]?.fixes[0]?.valid).toBe(false);
    const minute = (i: number): string =>
      `12${String(Math.floor(i / 60)).padStart(2, '0')}${String(i % 60).padStart(2, '0')}`;
    const frozen = Array.from({ length: 80 }, (_, i) =>
      sentence(`GPGGA,${minute(i)},4807.030,N,01131.000,E,1,08,0.9,${5000 - 10 * i},M,46.9,M,,`),
    );
    const still = readNmea(frozen.join('\n'), { reference_s: 1e9 });
    expect(still.value[0]?.fixes.filter((f) => f.valid)).toHaveLength(1);
    expect(still.problems.map((p) => p.text).join()).toContain(
      'stands still for 79\u202fs while the height moves 790\u202fm',
    );
    const rest = Array.from({ length: 80 }, (_, i) =>
      sentence(`GPGGA,${minute(i)},4807.030,N,01131.000,E,1,08,0.9,500,M,46.9,M,,`),
    );
    const parked = readNmea(rest.join('\n'), { reference_s: 1e9 });
    expect(parked.value[0]?.fixes.every((f) => f.valid)).toBe(true);
    expect(parked.problems.map((p) => p.text).join()).toContain('the position does not change');
  });

  it('says a lasting jump and believes neither side against the other', () => {
    const at = (i: number): string =>
      sentence(
        `GPGGA,1200${String(i).padStart(2, '0')},${i < 10 ? 48 : 12}07.0${30 + i},N,01131.000,E,1,08,0.9,500,M,46.9,M,,`,
      );
    const { value, problems } = readNmea(Array.from({ length: 20 }, (_, i) => at(i)).join('\n'), { reference_s: 1e9 });
    expect(value[0]?.fixes.every((f) => f.valid)).toBe(true);
    expect(problems.map((p) => p.text).join()).toMatch(/jumps 400\d\.\d km between/);
  });
});

describeOpenData('NMEA, the open logs', ({ openData }) => {
  const bytes = (name: string): Uint8Array => new Uint8Array(readFileSync(join(openData, 'tracks', name)));
  const text = (name: string): string => readFileSync(join(openData, 'tracks', name), 'latin1');
  const only = (name: string): { track: Track; problems: number } => {
    const { value, problems } = readTrack(name, bytes(name), {});
    expect(value).toHaveLength(1);
    return { track: value[0] ?? { name: '', fixes: [] }, problems: problems.length };
  };

  it('gives the drop of 2024-08-31 as the dropsonde sampled it', () => {
    const { track } = only('drop-halo-20240831-130430-1s.nmea');
    const samples = new Map<number, string[]>();
    for (const row of readFileSync(join(openData, 'dropsondes', 'halo-20240831-130430.csv'), 'latin1')
      .split('\n')
      .slice(1)) {
      const cells = row.split(',');
      if (cells[7] !== '' && cells[7] !== undefined) samples.set(Date.parse(cells[0] ?? ''), cells);
    }
    let compared = 0;
    for (const fix of track.fixes) {
      const cells = samples.get(Math.round((fix.time_s ?? NaN) * 1000));
      expect(cells).toBeDefined();
      // Half of 0.0001 minute, and half of the sample's last digit; heights printed to 0.1 m.
      expect(Math.abs(fix.position[1] - Number(cells?.[7]))).toBeLessThan(0.00005 / 60 + 6e-7);
      expect(Math.abs(fix.position[0] - Number(cells?.[8]))).toBeLessThan(0.00005 / 60 + 6e-7);
      expect(Math.abs((fix.height_m ?? NaN) - Number(cells?.[9]))).toBeLessThan(0.051);
      compared++;
    }
    expect(compared).toBe(899);
    // The sonde's one false height (25 110 m between 4 km and 4 km) is kept and marked.
    expect(track.fixes.filter((f) => !f.valid).map((f) => f.height_m)).toEqual([25_110.3]);
  });

  it('gives the balloon of Lamont where and when the ascent was, also as another library reads each sentence', () => {
    const { track } = only('balloon-ascent-lamont-20190101-5s.nmea');
    const truth = readFileSync(join(openData, 'tracks', 'balloon-lamont-20190101.aprs-truth.csv'), 'latin1')
      .split('\n')
      .slice(1)
      .filter((r) => r !== '');
    let compared = 0;
    for (const row of truth) {
      const [, time, lat, lon, height] = row.split(',');
      const fix = track.fixes.find((f) => f.time_s === Date.parse(time ?? '') / 1000) ?? NOTHING;
      expect(Math.abs(fix.position[1] - Number(lat))).toBeLessThan(0.00005 / 60 + 6e-7);
      expect(Math.abs(fix.position[0] - Number(lon))).toBeLessThan(0.00005 / 60 + 6e-7);
      expect(fix.height_m).toBeCloseTo(Number(height), 6);
      compared++;
    }
    expect(compared).toBe(70);
    const theirs = text('balloon-ascent-lamont-20190101-5s.nmea')
      .split(/\r?\n/)
      .filter((r) => r.includes('GGA'))
      .map((r) => parseNmeaSentence(r));
    expect(theirs).toHaveLength(836);
    theirs.forEach((packet, i) => {
      if (packet.sentenceId !== 'GGA') throw new Error('not a GGA');
      expect(track.fixes[i]?.position[0]).toBeCloseTo(packet.longitude, 9);
      expect(track.fixes[i]?.position[1]).toBeCloseTo(packet.latitude, 9);
      expect(track.fixes[i]?.height_m).toBe(packet.altitudeMeters);
    });
  });

  it('reads the receiver logs: as many fixes as moments that a sentence calls valid', () => {
    for (const [name, first] of [
      ['balloon-ascent-lamont-20190101-5s.nmea', '2019-01-01T05:32:00.000Z'],
      ['drop-halo-20240831-130430-1s.nmea', '2024-08-31T13:04:30.500Z'],
      ['gpsd-bt451.nmea', '2009-12-09T15:25:04.500Z'],
      ['gpsd-nmea-fuzzy-cases.nmea', '2020-03-18T13:28:20.600Z'],
      ['gpsd-quectel-eg25-g.nmea', '2022-09-11'],
      ['gpsd-tr737Aplus.nmea', '2011-11-11T07:17:36.000Z'],
    ] as const) {
      const { track, problems } = only(name);
      const raw = text(name);
      const times = (pattern: RegExp): string[] => [...raw.matchAll(pattern)].map((m) => String(Number(m[1])));
      const good = new Set([
        ...times(/\$..RMC,([\d.]+),A,/g),
        ...times(/\$..GGA,([\d.]+),[\d.]+,[NS],[\d.]+,[EW],[1-9]/g),
        ...times(/\$..GLL,[\d.]+,[NS],[\d.]+,[EW],([\d.]+),A/g),
        ...times(/\$..GNS,([\d.]+),[\d.]+,[NS],[\d.]+,[EW],[^N]/g),
      ]);
      const heights = track.fixes.flatMap((f) => f.height_m ?? []);
      expect([name, track.fixes.length]).toEqual([name, good.size]);
      expect(iso(track.fixes[0]).startsWith(first)).toBe(true);
      console.log(
        [name, 'NMEA', `${track.fixes.length} fixes, ${track.fixes.filter((f) => !f.valid).length} not valid`].join(
          ' | ',
        ),
        `| ${Math.min(...heights)} to ${Math.max(...heights)} m | ${problems} problems`,
      );
    }
  });

  itSurvives(
    'NMEA',
    ['drop-halo-20240831-130430-1s.nmea', 'gpsd-bt451.nmea', 'gpsd-tr737Aplus.nmea', 'gpsd-quectel-eg25-g.nmea'].map(
      text,
    ),
    (input) => readNmea(input, { reference_s: 1_700_000_000 }),
  );
});
