// Measured falls: GPS dropsondes, real bodies under a small parachute, wind and track recorded. ref:
// open-data/dropsondes/falls.csv (raw records of research flights; MANIFEST.md names them). The model with the recorded
// wind and a fall speed fitted to the recorded time must land where the sonde did.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { Air, type AirLevel } from '../../core/air/air.ts';
import { compileBody } from '../../core/descent/body.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { WorldSampler } from '../../core/descent/worldSampler.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { Ground } from '../../core/earth/ground.ts';
import { DEG_PER_RAD, type LonLat } from '../../core/base/units.ts';
import { WindField } from '../../core/winds/field.ts';
import type { WindLevel } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';

interface Fall {
  readonly file: string;
  readonly start: LonLat;
  readonly start_m: number;
  readonly end: LonLat;
  readonly end_m: number;
  readonly start_s: number;
  readonly duration_s: number;
  /** Displacement of the record's own wind integrated over its own times, m. */
  readonly integrated: readonly [number, number];
}

/**
 * How far the record's own integrated wind misses its own GPS displacement: what falls.csv and MANIFEST.md document of
 * each.
 */
const own = (fall: Fall): number => Math.hypot(...difference(measuredOf(fall), fall.integrated));
const difference = (a: readonly [number, number], b: readonly [number, number]): [number, number] => [
  a[0] - b[0],
  a[1] - b[1],
];
const measuredOf = (fall: Fall): readonly [number, number] => localFrame(fall.start).toLocal(fall.end);

function fallsOf(folder: string): Fall[] {
  const [header = '', ...rows] = readFileSync(join(folder, 'falls.csv'), 'utf8').trim().split('\n');
  const names = header.split(',');
  return rows.map((row) => {
    const cells = row.split(',');
    const text = (name: string): string => cells[names.indexOf(name)] ?? '';
    const number = (name: string): number => Number(text(name));
    return {
      file: text('file'),
      start: [number('start_lon'), number('start_lat')],
      start_m: number('start_alt_m'),
      end: [number('end_lon'), number('end_lat')],
      end_m: number('end_alt_m'),
      start_s: Date.parse(text('start_time_20s_after_release')) / 1000,
      duration_s: (Date.parse(text('end_time')) - Date.parse(text('start_time_20s_after_release'))) / 1000,
      integrated: [number('wind_integrated_east_m'), number('wind_integrated_north_m')],
    };
  });
}

interface Sample {
  readonly height_m: number;
  readonly u: number;
  readonly v: number;
}

/**
 * Every recorded wind from the start on, with its height: altitudes stand on every other row and are drawn straight
 * over time. The same rows that falls.csv integrates, so that model and record differ by the model alone.
 */
function samplesOf(text: string, fall: Fall): { winds: Sample[]; air: AirLevel[]; heightAt: (t: number) => number } {
  const [header = '', ...lines] = text.trim().split('\n');
  const names = header.split(',');
  const rows = lines.map((line) => {
    const cells = line.split(',');
    const number = (name: string): number =>
      cells[names.indexOf(name)] === '' ? NaN : Number(cells[names.indexOf(name)]);
    return {
      t: Date.parse(cells[0] ?? '') / 1000,
      height_m: number('gps_altitude_m'),
      from_deg: number('wind_from_deg'),
      speed_mps: number('wind_speed_ms'),
      temperature_K: number('temperature_C') + 273.15,
      pressure_Pa: number('pressure_hPa') * 100,
    };
  });
  const inFall = rows.filter((row) => row.t >= fall.start_s && row.t <= fall.start_s + fall.duration_s);
  const raw = inFall.filter((row) => Number.isFinite(row.height_m));
  // Single altitudes are kilometres off (MANIFEST.md): what stands more than 60 m from the median of the nine about it
  // is no fix.
  const fixes = raw.filter(
    (row, i) => Math.abs(row.height_m - median(raw.slice(Math.max(0, i - 4), i + 5).map((near) => near.height_m))) < 60,
  );
  const heightAt = (t: number): number => {
    const i = fixes.findIndex((fix) => fix.t >= t);
    const b = fixes[i];
    const a = fixes[i - 1] ?? b;
    if (a === undefined || b === undefined) return NaN;
    return b.t > a.t ? a.height_m + ((t - a.t) / (b.t - a.t)) * (b.height_m - a.height_m) : a.height_m;
  };
  const winds = inFall
    .filter((row) => Number.isFinite(row.from_deg) && Number.isFinite(row.speed_mps))
    .map(({ t, from_deg, speed_mps }) => ({
      height_m: heightAt(t),
      u: -speed_mps * Math.sin(from_deg / DEG_PER_RAD),
      v: -speed_mps * Math.cos(from_deg / DEG_PER_RAD),
    }))
    .filter((sample) => Number.isFinite(sample.height_m));
  const air: AirLevel[] = [];
  for (const row of fixes.toReversed()) {
    if (
      !Number.isFinite(row.temperature_K + row.pressure_Pa) ||
      row.height_m < (air.at(-1)?.height_m ?? -Infinity) + 200
    )
      continue;
    air.push({ height_m: row.height_m, temperature_K: row.temperature_K, pressure_Pa: row.pressure_Pa });
  }
  return { winds, air, heightAt };
}

const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? NaN;

/** Means of the vector over 50 m of height: single samples carry the sonde's own swinging. */
function layersOf(samples: readonly Sample[]): WindLevel[] {
  const bins = new Map<number, { u: number; v: number; h: number; n: number }>();
  for (const { height_m, u, v } of samples) {
    const key = Math.floor(height_m / 50);
    const bin = bins.get(key) ?? { u: 0, v: 0, h: 0, n: 0 };
    bins.set(key, { u: bin.u + u, v: bin.v + v, h: bin.h + height_m, n: bin.n + 1 });
  }
  return [...bins.entries()]
    .sort(([x], [y]) => x - y)
    .map(([, { u, v, h, n }]) => ({
      height_m: h / n,
      from_deg: (Math.atan2(-u, -v) * DEG_PER_RAD + 360) % 360,
      speed_mps: Math.hypot(u / n, v / n),
    }));
}

/**
 * The model's landing with the fall speed fitted to the recorded time, in `parts` stretches of equal time: 1 is one
 * fall speed throughout, more let the parachute's drag change on the way down as it does.
 */
function flown(fall: Fall, text: string, parts: number): readonly [east_m: number, north_m: number] {
  const samples = samplesOf(text, fall);
  const wind = WindField.ofColumns([{ source: fall.file, time_s: 0, levels: layersOf(samples.winds) }]);
  const air = new Air(samples.air);
  let place = fall.start;
  let from_m = fall.start_m;
  const duration_s = fall.duration_s / parts;
  for (let part = 1; part <= parts; part++) {
    const to_m = part === parts ? fall.end_m : samples.heightAt(fall.start_s + part * duration_s);
    const land = (sink_mps: number): Flight => {
      const stages = [{ name: 'none', dragArea_m2: 1, until: { msl_m: from_m + 1 } }];
      const canopy = { referenceMass_kg: 0.4, fill_s: 0, settings: [{ name: 'parachute', airspeed_mps: 0, sink_mps }] };
      const body = compileBody({ mass_kg: 0.4, stages, canopy }, { target: null, surfaceFrom_deg: null });
      // The stretch ends on a floor; the recorded winds reach below it, so that no logarithmic layer is made there.
      const flight = new Flight(new WorldSampler(air, wind, new Ground(to_m)), body);
      flight.fly({ lon_deg: place[0], lat_deg: place[1], height_m: from_m, time_s: 0, velocity_mps: [0, 0, 0] }, null);
      expect(flight.outcome).toBe(LANDED);
      return flight;
    };
    // Time falls as 1/sink: a few turns find the fall speed of the recorded time.
    let sink_mps = 11;
    for (let turn = 0; turn < 6; turn++) sink_mps *= land(sink_mps).landing_s / duration_s;
    const flight = land(sink_mps);
    expect(Math.abs(flight.landing_s - duration_s)).toBeLessThan(0.01);
    place = [flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD];
    from_m = to_m;
  }
  return localFrame(fall.start).toLocal(place);
}

const PARTS = 12;

describeOpenData('measured falls of GPS dropsondes', ({ openData }) => {
  it('lands where they did, within what the records themselves disagree', () => {
    const folder = join(openData, 'dropsondes');
    const rows = fallsOf(folder).map((fall) => {
      const text = readFileSync(join(folder, fall.file), 'utf8');
      const measured = measuredOf(fall);
      const [one, several] = [flown(fall, text, 1), flown(fall, text, PARTS)];
      return {
        fall,
        measured,
        one,
        several,
        missOne: Math.hypot(...difference(one, measured)),
        miss: Math.hypot(...difference(several, measured)),
      };
    });
    const m = (x: number): string => x.toFixed(0).padStart(7);
    console.log(
      [
        `measured falls (m)             from   drift  measured E, N    model E, N, ${PARTS} speeds   miss   one speed   record's own`,
        ...rows.map(
          ({ fall, measured, several, miss, missOne }) =>
            `${fall.file.padEnd(28)}${m(fall.start_m)} ${m(Math.hypot(...measured))} ${m(measured[0])}${m(measured[1])}  ${m(several[0])}${m(several[1])}           ${m(miss)}     ${m(missOne)}        ${m(own(fall))}`,
        ),
      ].join('\n'),
    );
    expect(rows).toHaveLength(4);
    for (const { fall, measured, miss, missOne } of rows) {
      const drift = Math.hypot(...measured);
      // The record's own wind misses its own GPS track by this much (10 to 320 m); layers of 50 m add less than 1 % of
      // the drift.
      expect(miss, fall.file).toBeLessThan(own(fall) + 0.01 * drift);
      // One fall speed for the whole fall: a sonde's drag area is not constant over 13 km (it falls up to 15 % slower
      // aloft than the density says), and with a turning wind that costs up to a tenth of the drift.
      expect(missOne, fall.file).toBeLessThan(own(fall) + 0.1 * drift);
    }
  });
});
