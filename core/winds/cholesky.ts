// Symmetric positive definite systems by Cholesky's factor L Lᵀ, dense and row-major, lower triangle. Sizes of a few
// hundred. Source: Golub & Van Loan, Matrix Computations (4th ed., 2013), §4.2; row-oriented, so that every inner loop
// runs along rows.
import { nth } from '../base/nth.ts';

/**
 * Σₖ a[i + k] b[j + k] over n terms. In four sums of every fourth term each: one long sum would wait for each of its
 * additions, and rounds no better.
 */
export function dot(a: Float64Array, i: number, b: Float64Array, j: number, n: number): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < n; k += 4) {
    s0 += nth(a, i + k) * nth(b, j + k);
    s1 += nth(a, i + k + 1) * nth(b, j + k + 1);
    s2 += nth(a, i + k + 2) * nth(b, j + k + 2);
    s3 += nth(a, i + k + 3) * nth(b, j + k + 3);
  }
  for (; k < n; k++) s0 += nth(a, i + k) * nth(b, j + k);
  return s0 + s1 + (s2 + s3);
}

/**
 * Replaces the lower triangle of `a` (n × n, row-major) by its Cholesky factor; what stands above the diagonal is not
 * touched. False where a pivot is not above `floor` (the matrix is not positive definite, or holds NaN): `a` is then of
 * no use.
 */
export function cholesky(a: Float64Array, n: number, floor = 0): boolean {
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let j = 0; j <= i; j++) {
      const other = j * n;
      const sum = nth(a, row + j) - dot(a, row, a, other, j);
      if (j < i) a[row + j] = sum / nth(a, other + j);
      else if (!(sum > floor)) return false;
      else a[row + i] = Math.sqrt(sum);
    }
  }
  return true;
}

/** x ← L⁻¹ x, for a vector of length n that begins at `at`. */
export function forward(l: Float64Array, n: number, x: Float64Array, at = 0): void {
  for (let i = 0; i < n; i++) {
    const row = i * n;
    x[at + i] = (nth(x, at + i) - dot(l, row, x, at, i)) / nth(l, row + i);
  }
}

/** x ← L⁻ᵀ x, for a vector of length n. */
export function backward(l: Float64Array, n: number, x: Float64Array): void {
  for (let i = n - 1; i >= 0; i--) {
    const row = i * n;
    const value = nth(x, i) / nth(l, row + i);
    x[i] = value;
    for (let k = 0; k < i; k++) x[k] = nth(x, k) - nth(l, row + k) * value;
  }
}

/** The whole inverse (L Lᵀ)⁻¹, n × n row-major, both triangles. */
export function inverseMatrix(l: Float64Array, n: number): Float64Array {
  // Column j of L⁻¹ is kept as row j of `t`, so that the products below run along rows.
  const t = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    const mine = j * n;
    t[mine + j] = 1 / nth(l, mine + j);
    for (let i = j + 1; i < n; i++) {
      const row = i * n;
      t[mine + i] = -dot(l, row + j, t, mine + j, i - j) / nth(l, row + i);
    }
  }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      const sum = dot(t, i * n + i, t, j * n + i, n - i);
      out[i * n + j] = sum;
      out[j * n + i] = sum;
    }
  }
  return out;
}

/**
 * The lower Cholesky factor of a covariance that may be singular to rounding (a smooth process on close nodes is): the
 * least share of the diagonal that makes it positive definite is added first, beginning at 1e-12 of it. What lies above
 * the diagonal is 0.
 */
export function covarianceFactor(covariance: Float64Array, n: number): Float64Array {
  for (let share = 1e-12; share < 1; share *= 10) {
    const l = new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) l[i * n + j] = nth(covariance, i * n + j);
      // A node whose error is 0 (an error switched off) keeps a factor of 0 to within 1e-9 m/s.
      l[i * n + i] = nth(l, i * n + i) * (1 + share) + 1e-18;
    }
    if (cholesky(l, n)) return l;
  }
  // Only the diagonal is left: a covariance that is not a covariance. Its standard deviations at least are kept.
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i++) l[i * n + i] = Math.sqrt(Math.max(0, nth(covariance, i * n + i)));
  return l;
}
