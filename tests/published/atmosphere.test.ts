// Air and gravity against published rows. ref: us-standard-atmosphere-1976.csv, geodesy.md §5, freefall.md §3.
import { describe, expect, it } from 'vitest';
import {
  Air,
  geometricHeight,
  geopotentialHeight,
  JOIN_FADE_M,
  pressureAltitude,
  soundingAir,
  standardAir,
} from '../../core/air/air.ts';
import { normalGravity } from '../../core/earth/gravity.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';

// source: USSA 1976 (NASA-TM-X-74335), table I, geometric altitude; mark F. Z m, T K, P Pa, rho kg/m3, c m/s, as
// printed; '' not found.
const TABLE_I = [
  ['0', '288.150', '101325', '1.2250', '340.29'],
  ['1000', '281.651', '89876', '1.1117', ''],
  ['2000', '275.154', '79501', '1.0066', ''],
  ['5000', '255.676', '54048', '0.73643', '320.55'],
  ['10000', '223.252', '26499', '0.41351', '299.53'],
  ['11000', '216.774', '22699', '0.36480', ''],
  ['15000', '216.650', '12111', '0.19476', '295.07'],
  ['20000', '216.650', '5529.3', '0.088910', '295.07'],
  ['25000', '221.552', '2549.2', '0.040084', '298.39'],
  ['30000', '226.509', '1197.0', '0.018410', '301.71'],
  ['32000', '228.490', '889.06', '0.013555', ''],
  ['35000', '236.513', '574.59', '0.0084634', ''],
  ['36000', '239.282', '498.52', '0.0072579', ''],
  ['40000', '250.350', '287.14', '0.0039957', '317.19'],
  ['45000', '264.164', '149.10', '0.0019663', '325.82'],
  ['47400', '270.650', '110.22', '0.0014187', ''],
  ['50000', '270.650', '79.779', '0.0010269', '329.80'],
  ['55000', '260.771', '42.525', '0.00056810', ''],
  ['60000', '247.021', '21.958', '0.00030968', ''],
  ['65000', '233.292', '10.929', '0.00016321', ''],
  ['70000', '219.585', '5.2209', '0.000082829', ''],
  ['75000', '208.399', '2.3881', '0.000039921', ''],
  ['80000', '198.639', '1.0525', '0.000018458', ''],
] as const;

/**
 * A whole unit of the last digit that is printed: the table truncates some rows and rounds others (as its
 * transcriptions do).
 */
const unit = (printed: string): number => 10 ** -(printed.split('.')[1]?.length ?? 0);

describe('US Standard Atmosphere 1976, table I (mark F)', () => {
  it.each(TABLE_I)('%s m', (z, T, p, rho, c) => {
    const air = standardAir(Number(z));
    expect(Math.abs(air.temperature_K - Number(T))).toBeLessThan(0.001);
    expect(Math.abs(air.pressure_Pa - Number(p))).toBeLessThan(unit(p));
    expect(Math.abs(air.density_kgpm3 - Number(rho))).toBeLessThan(unit(rho));
    if (c !== '') expect(Math.abs(air.soundSpeed_mps - Number(c))).toBeLessThan(0.01);
  });

  // source: computed there from the standard's constants; mark C.
  it.each([
    [8000, 236.2154, 35651.6, 0.525786, 308.105],
    [42000, 255.8781, 219.967, 0.00299476, 320.672],
    [47000, 269.6841, 115.851, 0.00149652, 329.21],
  ])('%i m, computed rows', (z, T, p, rho, c) => {
    const air = standardAir(z);
    expect(Math.abs(air.temperature_K - T)).toBeLessThan(0.001);
    expect(Math.abs(air.pressure_Pa / p - 1)).toBeLessThan(1e-4);
    expect(Math.abs(air.density_kgpm3 / rho - 1)).toBeLessThan(1e-4);
    expect(Math.abs(air.soundSpeed_mps - c)).toBeLessThan(0.01);
  });

  it('ref: freefall.md §3, speed factors 1/sqrt(sigma); mark C', () => {
    const rows = [
      [0, 1],
      [1000, 1.0497],
      [2000, 1.1032],
      [3048, 1.1636],
      [4000, 1.2227],
      [6096, 1.3695],
      [9144, 1.6336],
      [12192, 2.0118],
      [20000, 3.7119],
      [30000, 8.1572],
      [40000, 17.5095],
    ] as const;
    for (const [z, factor] of rows)
      expect(Math.abs(Math.sqrt(1.225 / standardAir(z).density_kgpm3) - factor)).toBeLessThan(1e-4);
  });

  it('geopotential and pressure altitude undo their inverses', () => {
    for (let z = -500; z <= 85_000; z += 517) {
      expect(Math.abs(geometricHeight(geopotentialHeight(z)) - z)).toBeLessThan(1e-8);
      expect(Math.abs(pressureAltitude(standardAir(z).pressure_Pa) - z)).toBeLessThan(1e-6);
    }
  });

  it('the table of the hot loop is the standard: within 2e-9 inside a layer, 2e-4 in the cell of a break', () => {
    const air = new Air();
    let worst = 0;
    let worstAtBreak = 0;
    for (let z = 0; z < 80_000; z += 7.3) {
      const error = Math.abs(air.density(z) / standardAir(z).density_kgpm3 - 1);
      const H = geopotentialHeight(z);
      const atBreak = [11_000, 20_000, 32_000, 47_000, 51_000, 71_000].some((base) => Math.abs(H - base) < 55);
      if (atBreak) worstAtBreak = Math.max(worstAtBreak, error);
      else worst = Math.max(worst, error);
      // Linear in 50 m cells: at a break of the lapse of 6.5 K/km a chord misses the corner by 0.05 m/s at most.
      expect(Math.abs(air.soundSpeed(z) - standardAir(z).soundSpeed_mps)).toBeLessThan(0.05);
    }
    expect(worst).toBeLessThan(2e-9);
    expect(worstAtBreak).toBeLessThan(2e-4);
  });
});

describe('air of a sounding joined to the standard (MODEL.md §2)', () => {
  const levels = [
    { height_m: 300, temperature_K: 299, pressure_Pa: 98_100, dewPoint_K: 293 },
    { height_m: 2000, temperature_K: 285, pressure_Pa: 80_300 },
    { height_m: 12_000, temperature_K: 214, pressure_Pa: 19_800 },
    { height_m: 20_000, temperature_K: 209, pressure_Pa: 5600 },
  ];
  const air = soundingAir(levels);

  it('gives the levels back, ln p and T straight between them', () => {
    for (const level of levels) {
      expect(air(level.height_m).temperature_K).toBeCloseTo(level.temperature_K, 9);
      expect(air(level.height_m).pressure_Pa / level.pressure_Pa).toBeCloseTo(1, 12);
    }
    const middle = air(7000);
    expect(middle.temperature_K).toBeCloseTo((285 + 214) / 2, 9);
    expect(middle.pressure_Pa).toBeCloseTo(Math.sqrt(80_300 * 19_800), 6);
  });

  it('is continuous at the joints and is the standard 5 km beyond them', () => {
    for (const joint of [300, 20_000]) {
      expect(Math.abs(air(joint + 1e-6).density_kgpm3 / air(joint - 1e-6).density_kgpm3 - 1)).toBeLessThan(1e-8);
      expect(Math.abs(air(joint + 1e-6).temperature_K - air(joint - 1e-6).temperature_K)).toBeLessThan(1e-6);
    }
    for (const z of [20_000 + JOIN_FADE_M, 30_000]) {
      expect(air(z).density_kgpm3).toBeCloseTo(standardAir(z).density_kgpm3, 15);
      expect(air(z).temperature_K).toBeCloseTo(standardAir(z).temperature_K, 10);
    }
  });

  it('moist air is lighter: virtual temperature by its definition with Bolton (1980) eq. 10', () => {
    const e = 611.2 * Math.exp((17.67 * 19.85) / (19.85 + 243.5));
    const virtual = 299 / (1 - (0.378 * e) / 98_100);
    expect(air(300).density_kgpm3).toBeCloseTo(98_100 / (287.05287 * virtual), 9);
  });
});

describe('normal gravity (ref: geodesy.md §5; NGA.STND.0036; mark C, the second-order height series within 1e-5, 1.05e-5 at 40 km over the pole)', () => {
  const ROWS = [
    [0, 9.780325, 9.74952, 9.718859, 9.657966],
    [15, 9.783785, 9.752982, 9.722324, 9.661437],
    [30, 9.793247, 9.762453, 9.731802, 9.670931],
    [45, 9.806198, 9.775414, 9.744775, 9.683925],
    [60, 9.819177, 9.788404, 9.757776, 9.696948],
    [75, 9.828697, 9.797932, 9.767312, 9.706499],
    [90, 9.832185, 9.801423, 9.770806, 9.709999],
  ] as const;
  it.each(ROWS)('latitude %i', (lat, ...heights) => {
    heights.forEach((g, i) =>
      expect(Math.abs(normalGravity(lat * RAD_PER_DEG, [0, 10_000, 20_000, 40_000][i] ?? NaN) - g)).toBeLessThan(
        1.1e-5,
      ),
    );
  });
  it('59.91 degrees: 9.81910618638375 (mark F)', () => {
    expect(Math.abs(normalGravity(59.91 * RAD_PER_DEG, 0) - 9.81910618638375)).toBeLessThan(1e-10);
  });
});
