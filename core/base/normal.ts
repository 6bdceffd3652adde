/**
 * The chance that a standard normal number is above z.
 *
 * Source  Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.2.17
 * Error   below 7.5e-8
 */
export function upperTail(z: number): number {
  if (z < 0) return 1 - upperTail(-z);
  const t = 1 / (1 + 0.2316419 * z);
  const series = t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * series;
}
