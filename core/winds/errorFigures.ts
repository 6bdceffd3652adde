// The figures behind "how wrong may a wind be": [height m MSL, value], one component (east or north), m/s. Each names
// its table in the reference (confidence.md) and its mark there: F found in a source, C computed from named open data,
// M a round figure without a source.
import type { Knots } from '../base/knots.ts';

/**
 * A forecast at the time of its run. Aloft the radiosonde error, with what one ascent misses, that the NCEP global
 * analysis assigns (§1.1 column a, F). At the ground 1.6, which with the growth below is the 1.79 that a global model
 * missed 1 800 stations by after 12 h (§1.4, C). Above 31 km 3 in summer to 5–6 in winter (§1.3, M).
 */
export const FORECAST_STD_MPS: Knots = [
  [0, 1.6],
  [3000, 1.6],
  [7200, 2.6],
  [10_400, 3.2],
  [13_600, 2.4],
  [16_000, 2.1],
  [31_000, 2.1],
  [40_000, 5.5],
];

/** A forecast 48 h after its run (§1.1 column b, lower figure, C; above 31 km M): the variance grows evenly to it. */
export const FORECAST_STD_48H_MPS: Knots = [
  [0, 2.2],
  [800, 2.5],
  [1500, 2.8],
  [3000, 3.1],
  [5600, 3.3],
  [7200, 3.9],
  [9200, 4.5],
  [10_400, 4.8],
  [11_800, 5.3],
  [13_600, 4.2],
  [16_200, 3.0],
  [20_600, 2.4],
  [26_500, 2.6],
  [31_000, 3.0],
  [40_000, 6.5],
];

/**
 * Change of the wind in 12 h (§2.1, C: middle of each layer; above 27 km M). At the ground √2 of the 2.17 by which
 * stations differed from the mean of the day (§1.4, C).
 */
export const CHANGE_12H_MPS: Knots = [
  [0, 3.1],
  [1500, 3.7],
  [2800, 3.8],
  [4800, 5.8],
  [7500, 8.9],
  [11_000, 10.3],
  [15_000, 3.1],
  [19_500, 1.6],
  [25_000, 1.3],
  [31_000, 2],
  [40_000, 4],
];

/**
 * Change of the wind over 557 km: sondes of one hour 557, 811 and 1 076 km apart, brought to one distance by the power
 * below and pooled by their 5, 5 and 16 pairs (§3 columns d, C; above 22 km M). At the ground 2.4 (stations).
 */
export const CHANGE_557KM_MPS: Knots = [
  [0, 2.4],
  [800, 4.5],
  [3000, 4.8],
  [5600, 6.4],
  [7500, 10.2],
  [11_000, 12.6],
  [15_000, 4.5],
  [19_500, 2.0],
  [31_000, 3.5],
  [40_000, 4.5],
];

/**
 * Winds of another month against the wind of a day (§2.3, row 4, C, 26 October against 15 January over North America;
 * above 31 km M): no wind, however old or far, says less than this.
 */
export const CLIMATE_STD_MPS: Knots = [
  [0, 6],
  [800, 8.6],
  [1500, 8.9],
  [3000, 9.9],
  [5600, 15.3],
  [9200, 24.2],
  [10_400, 25.2],
  [11_800, 23.8],
  [13_600, 19.1],
  [16_200, 15.6],
  [20_600, 15.3],
  [23_900, 17.2],
  [26_500, 19],
  [31_000, 20.7],
  [40_000, 30],
];

/** Variance grows with age like age^(2/3): structure functions of the −5/3 range, 1 to 24 h (§2.1, C from F). */
export const AGE_POWER = 2 / 3;
/** Between two times of one model's run: its fields are smooth, variances grow like d^1.2 to d^1.6 (§3, C). */
export const MODEL_POWER = 1.4;
/** With distance: between the small scales' d^(2/3) and the smooth fields' d^1.4 (§3). A choice. */
export const DISTANCE_POWER = 1;

/**
 * Correlation lengths of a change with time (§2.2, C, Gaussian lengths): what is wrong with an old wind hangs together
 * through the whole jet.
 */
export const CHANGE_LENGTH_M: Knots = [
  [0, 700],
  [1500, 1200],
  [5000, 1400],
  [6500, 4000],
  [11_500, 4000],
  [13_000, 1300],
  [19_000, 1300],
  [21_000, 1900],
  [40_000, 3000],
];

/**
 * What a lowest level so far above ground is worth ten metres above it, brought down by the neutral profile (§5, C):
 * [height m AGL, m/s], with 5 m/s aloft; stronger winds err in proportion.
 */
export const BROUGHT_DOWN_STD_MPS: Knots = [
  [10, 0],
  [150, 1.4],
  [300, 2.0],
  [600, 2.6],
  [900, 2.8],
];
export const BROUGHT_DOWN_ALOFT_MPS = 5;

/**
 * The ground's own part of the variance at 10 m, which a place some ten kilometres away does not share: 55 to 60 %
 * (§1.4, C). It is taken to be gone a kilometre up (M).
 */
export const LOCAL_SHARE: Knots = [
  [10, 0.57],
  [1000, 0],
];
/** The stations 10 km apart have lost it already (§1.4, C). */
export const LOCAL_DISTANCE_M = 5000;
