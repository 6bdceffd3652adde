// The Sun's apparent place: the Earth's heliocentric longitude, latitude and distance from VSOP87 (Bretagnon and
// Francou 1988), with the terms above 25e-8 rad (Meeus, Astronomical Algorithms, 2nd ed., appendix III;
// NREL/TP-560-34302, table A4.2). Error below 1″.

/**
 * Rows: amplitude, phase (rad), frequency (rad a Julian millennium); amplitudes in 1e-8 rad, of the distance in 1e-8
 * au.
 */
type Series = readonly (readonly [amplitude: number, phase: number, frequency: number])[];

const L0: Series = [
  [175347046, 0, 0],
  [3341656, 4.6692568, 6283.07585],
  [34894, 4.6261, 12566.1517],
  [3497, 2.7441, 5753.3849],
  [3418, 2.8289, 3.5231],
  [3136, 3.6277, 77713.7715],
  [2676, 4.4181, 7860.4194],
  [2343, 6.1352, 3930.2097],
  [1324, 0.7425, 11506.7698],
  [1273, 2.0371, 529.691],
  [1199, 1.1096, 1577.3435],
  [990, 5.233, 5884.927],
  [902, 2.045, 26.298],
  [857, 3.508, 398.149],
  [780, 1.179, 5223.694],
  [753, 2.533, 5507.553],
  [505, 4.583, 18849.228],
  [492, 4.205, 775.523],
  [357, 2.92, 0.067],
  [317, 5.849, 11790.629],
  [284, 1.899, 796.298],
  [271, 0.315, 10977.079],
  [243, 0.345, 5486.778],
  [206, 4.806, 2544.314],
  [205, 1.869, 5573.143],
  [202, 2.458, 6069.777],
  [156, 0.833, 213.299],
  [132, 3.411, 2942.463],
  [126, 1.083, 20.775],
  [115, 0.645, 0.98],
  [103, 0.636, 4694.003],
  [102, 0.976, 15720.839],
  [102, 4.267, 7.114],
  [99, 6.21, 2146.17],
  [98, 0.68, 155.42],
  [86, 5.98, 161000.69],
  [85, 1.3, 6275.96],
  [85, 3.67, 71430.7],
  [80, 1.81, 17260.15],
  [79, 3.04, 12036.46],
  [75, 1.76, 5088.63],
  [74, 3.5, 3154.69],
  [74, 4.68, 801.82],
  [70, 0.83, 9437.76],
  [62, 3.98, 8827.39],
  [61, 1.82, 7084.9],
  [57, 2.78, 6286.6],
  [56, 4.39, 14143.5],
  [56, 3.47, 6279.55],
  [52, 0.19, 12139.55],
  [52, 1.33, 1748.02],
  [51, 0.28, 5856.48],
  [49, 0.49, 1194.45],
  [41, 5.37, 8429.24],
  [41, 2.4, 19651.05],
  [39, 6.17, 10447.39],
  [37, 6.04, 10213.29],
  [37, 2.57, 1059.38],
  [36, 1.71, 2352.87],
  [36, 1.78, 6812.77],
  [33, 0.59, 17789.85],
  [30, 0.44, 83996.85],
  [30, 2.74, 1349.87],
  [25, 3.16, 4690.48],
];

const L1: Series = [
  [628331966747, 0, 0],
  [206059, 2.678235, 6283.07585],
  [4303, 2.6351, 12566.1517],
  [425, 1.59, 3.523],
  [119, 5.796, 26.298],
  [109, 2.966, 1577.344],
  [93, 2.59, 18849.23],
  [72, 1.14, 529.69],
  [68, 1.87, 398.15],
  [67, 4.41, 5507.55],
  [59, 2.89, 5223.69],
  [56, 2.17, 155.42],
  [45, 0.4, 796.3],
  [36, 0.47, 775.52],
  [29, 2.65, 7.11],
];

const L2: Series = [
  [52919, 0, 0],
  [8720, 1.0721, 6283.0758],
  [309, 0.867, 12566.152],
  [27, 0.05, 3.52],
];

const L3: Series = [
  [289, 5.844, 6283.076],
  [35, 0, 0],
];

const B0: Series = [
  [280, 3.199, 84334.662],
  [102, 5.422, 5507.553],
  [80, 3.88, 5223.69],
  [44, 3.7, 2352.87],
  [32, 4, 1577.34],
];

/** Of the distance only what parallax and aberration can feel. */
const R0: Series = [
  [100013989, 0, 0],
  [1670700, 3.0984635, 6283.07585],
  [13956, 3.05525, 12566.1517],
  [3084, 5.1985, 77713.7715],
  [1628, 1.1739, 5753.3849],
  [1576, 2.8469, 7860.4194],
];

const sum = (series: Series, t: number): number =>
  series.reduce((total, [a, b, c]) => total + a * Math.cos(b + c * t), 0) * 1e-8;

const RAD = Math.PI / 180;
const ARCSECOND = RAD / 3600;

export interface ApparentSun {
  /** Radians. */
  readonly rightAscension: number;
  readonly declination: number;
  /** Apparent sidereal time at Greenwich, radians. */
  readonly siderealTime: number;
  readonly distance_au: number;
}

/** Geocentric apparent place. `days`: UT days since 2000-01-01 12:00; `deltaT_s`: dynamical minus universal time. */
export function apparentSun(days: number, deltaT_s: number): ApparentSun {
  const T = (days + deltaT_s / 86_400) / 36_525;
  const t = T / 10;
  const longitude = sum(L0, t) + t * (sum(L1, t) + t * (sum(L2, t) + t * sum(L3, t)));
  const beta = -sum(B0, t);
  const distance_au = sum(R0, t) + t * 0.00103019 * Math.cos(1.10749 + 6283.07585 * t);
  // Nutation: the four largest terms; what is left out (0.3″) moves the Sun and sidereal time alike and all but
  // cancels.
  const node = (125.04452 - 1934.136261 * T) * RAD;
  const sun = (280.4665 + 36000.7698 * T) * RAD;
  const moon = (218.3165 + 481267.8813 * T) * RAD;
  const deltaPsi =
    (-17.2 * Math.sin(node) - 1.32 * Math.sin(2 * sun) - 0.23 * Math.sin(2 * moon) + 0.21 * Math.sin(2 * node)) *
    ARCSECOND;
  const deltaEpsilon =
    (9.2 * Math.cos(node) + 0.57 * Math.cos(2 * sun) + 0.1 * Math.cos(2 * moon) - 0.09 * Math.cos(2 * node)) *
    ARCSECOND;
  const epsilon = (84381.448 - 46.815 * T - 0.00059 * T * T + 0.001813 * T ** 3) * ARCSECOND + deltaEpsilon;
  const lambda = longitude + Math.PI + deltaPsi - (20.4898 * ARCSECOND) / distance_au;
  const u = days / 36_525;
  const mean = 280.46061837 + 360.98564736629 * days + 0.000387933 * u * u;
  return {
    rightAscension: Math.atan2(
      Math.sin(lambda) * Math.cos(epsilon) - Math.tan(beta) * Math.sin(epsilon),
      Math.cos(lambda),
    ),
    declination: Math.asin(Math.sin(beta) * Math.cos(epsilon) + Math.cos(beta) * Math.sin(epsilon) * Math.sin(lambda)),
    siderealTime: (mean % 360) * RAD + deltaPsi * Math.cos(epsilon),
    distance_au,
  };
}
